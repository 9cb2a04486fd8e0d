// Move a rack, turn an elbow: by pointer or by keys. While it moves, its clearances stand beside it as dimensions;
// letting go is one edit, Escape is none.

import { number, send, say } from "./core.js";

const SVG = "http://www.w3.org/2000/svg";
const STEP = 0.01; // m a press of an arrow key moves a rack; ten times that with Shift
let held = null;

// --- the frame of the drawing ---------------------------------------------------------------------------------------

function pointIn(svg, event) {
  const point = new DOMPoint(event.clientX, event.clientY).matrixTransform(svg.getScreenCTM().inverse());
  return [point.x, point.y];
}

const boxOf = (text) => {
  const [x0, y0, x1, y1] = text.split(" ").map(Number);
  return { x0, y0, x1, y1 };
};

function words(metres, svg) {
  if (svg.dataset.display === "US") {
    const inches = Math.round(metres / 0.0254);
    return `${Math.floor(inches / 12)} ft ${inches % 12} in`;
  }
  return metres < 2 ? `${Math.round(metres * 100)} cm` : `${metres.toFixed(2)} m`;
}

// --- a rack ---------------------------------------------------------------------------------------------------------

function take(grip) {
  const svg = grip.closest("svg");
  const name = grip.dataset.grip;
  const racks = [...svg.querySelectorAll("[data-rack][data-box]")];
  const rack = racks.find((one) => one.dataset.rack === name);
  const space = [...svg.querySelectorAll("[data-space][data-box]")].find((one) => one.dataset.space === rack.dataset.room);
  const others = racks.filter((one) => one !== rack).map((one) => boxOf(one.dataset.box));
  if (space && space.dataset.blocks) others.push(...space.dataset.blocks.split(";").map(boxOf));
  const dimensions = document.createElementNS(SVG, "g");
  dimensions.setAttribute("class", "clearances");
  dimensions.setAttribute("aria-hidden", "true");
  svg.append(dimensions);
  svg.dataset.held = "";
  return {
    svg, name, parts: [rack], dimensions, dx: 0, dy: 0, start: boxOf(rack.dataset.box), room: space ? boxOf(space.dataset.box) : null,
    others, wall: rack.dataset.wall || "", shown: rack.dataset.box, base: String(number()), scale: Number(svg.dataset.scale),
  };
}

function place(rack, dx, dy) {
  const along = rack.wall === "north" || rack.wall === "south";
  if (rack.wall) along ? (dy = 0) : (dx = 0); // a rack at a wall slides along it
  const { start, room } = rack;
  if (room) {
    dx = Math.min(Math.max(dx, room.x0 - start.x0), room.x1 - start.x1);
    dy = Math.min(Math.max(dy, room.y0 - start.y0), room.y1 - start.y1);
  }
  rack.dx = Math.round(dx * 200) / 200;
  rack.dy = Math.round(dy * 200) / 200;
  for (const part of rack.parts) part.setAttribute("transform", `translate(${rack.dx * rack.scale} ${-rack.dy * rack.scale})`);
  measure(rack);
}

const moved = ({ start, dx, dy }) => ({ x0: start.x0 + dx, x1: start.x1 + dx, y0: start.y0 + dy, y1: start.y1 + dy });

function measure(rack) {
  const box = moved(rack);
  const middle = { x: (box.x0 + box.x1) / 2, y: (box.y0 + box.y1) / 2 };
  const beside = rack.others.filter((one) => one.y0 < box.y1 && one.y1 > box.y0);
  const before = rack.others.filter((one) => one.x0 < box.x1 && one.x1 > box.x0);
  const room = rack.room || box;
  const west = Math.max(room.x0, ...beside.filter((one) => one.x1 <= box.x0 + 1e-6).map((one) => one.x1));
  const east = Math.min(room.x1, ...beside.filter((one) => one.x0 >= box.x1 - 1e-6).map((one) => one.x0));
  const south = Math.max(room.y0, ...before.filter((one) => one.y1 <= box.y0 + 1e-6).map((one) => one.y1));
  const north = Math.min(room.y1, ...before.filter((one) => one.y0 >= box.y1 - 1e-6).map((one) => one.y0));
  rack.dimensions.replaceChildren(
    ...dimension(rack, west, middle.y, box.x0, middle.y), ...dimension(rack, box.x1, middle.y, east, middle.y),
    ...dimension(rack, middle.x, south, middle.x, box.y0), ...dimension(rack, middle.x, box.y1, middle.x, north),
  );
}

function dimension({ svg, scale }, x0, y0, x1, y1) {
  const length = Math.hypot(x1 - x0, y1 - y0);
  if (length < 0.005) return [];
  const toX = (x) => (x - Number(svg.dataset.x0)) * scale;
  const toY = (y) => (Number(svg.dataset.y1) - y) * scale;
  const line = document.createElementNS(SVG, "path");
  line.setAttribute("d", `M${toX(x0)} ${toY(y0)}L${toX(x1)} ${toY(y1)}`);
  const text = document.createElementNS(SVG, "text");
  text.setAttribute("x", (toX(x0) + toX(x1)) / 2);
  text.setAttribute("y", (toY(y0) + toY(y1)) / 2 - 1);
  text.textContent = words(length, svg);
  return [line, text];
}

function let_go(rack, keep) {
  rack.dimensions.remove();
  delete rack.svg.dataset.held;
  const still = Math.abs(rack.dx) < 1e-9 && Math.abs(rack.dy) < 1e-9;
  if (!keep || still) {
    for (const part of rack.parts) part.removeAttribute("transform");
    if (!keep && !still) say("Put back.");
    return;
  }
  const box = moved(rack);
  const room = rack.room || { x0: 0, y0: 0 };
  const fields = { change: "rack", rack: rack.name, base: rack.base, back: location.pathname + location.search };
  if (rack.wall === "north" || rack.wall === "south") fields.along = String(box.x0 - room.x0);
  else if (rack.wall) fields.along = String(box.y0 - room.y0);
  else Object.assign(fields, { x: String(box.x0 - room.x0), y: String(box.y0 - room.y0) });
  send(fields, rack.shown).then((good) => {
    if (!good) for (const part of rack.parts) part.removeAttribute("transform");
  });
}

// --- an elbow: its handle stands beside the hole of the chosen tank ------------------------------------------------------

function takeElbow(elbow) {
  const svg = elbow.closest("svg");
  svg.dataset.held = "";
  const [cx, cy] = elbow.dataset.at.split(" ").map(Number);
  const start = Number(elbow.dataset.angle);
  return { svg, elbow, cx, cy, start, angle: start, side: Number(elbow.dataset.aside) < 0 ? -1 : 1, turning: true, base: String(number()), shown: document.getElementById("elbow-angle")?.dataset.shown };
}

function turn(one, angle) {
  one.angle = Math.round(Math.min(90, Math.max(0, angle)));
  one.elbow.setAttribute("transform", `rotate(${one.side * (one.angle - one.start)} ${one.cx} ${one.cy})`);
  one.elbow.setAttribute("aria-valuenow", one.angle);
  one.elbow.setAttribute("aria-valuetext", `${one.angle}°`);
  say(`${one.elbow.dataset.tank}: ${one.angle}°`);
}

function leaveElbow(one, keep) {
  delete one.svg.dataset.held;
  if (!keep || one.angle === Math.round(one.start)) {
    one.elbow.removeAttribute("transform");
    return;
  }
  const fields = { change: "elbow", tank: one.elbow.dataset.tank, angle: String(one.angle), base: one.base, back: location.pathname + location.search };
  send(fields, one.shown).then((good) => good || one.elbow.removeAttribute("transform"));
}

// --- pointer --------------------------------------------------------------------------------------------------------

document.addEventListener("pointerdown", (event) => {
  const grip = event.target.closest?.(".grip");
  const elbow = event.target.closest?.(".turner");
  if (event.button || held || !(grip || elbow)) return;
  event.preventDefault();
  (grip || elbow).focus?.();
  held = grip ? take(grip) : takeElbow(elbow);
  held.from = pointIn(held.svg, event);
  held.pointer = event.pointerId;
});

document.addEventListener("pointermove", (event) => {
  if (!held || held.pointer !== event.pointerId) return;
  const [x, y] = pointIn(held.svg, event);
  if (held.turning) {
    const [dx, dy] = [x - held.cx, y - held.cy];
    if (Math.hypot(dx, dy) > 0.5) turn(held, (Math.abs(Math.atan2(dx, -dy)) * 180) / Math.PI);
  } else place(held, (x - held.from[0]) / held.scale, -(y - held.from[1]) / held.scale);
});

function end(keep) {
  if (!held) return;
  const one = held;
  held = null;
  one.turning ? leaveElbow(one, keep) : let_go(one, keep);
}
document.addEventListener("pointerup", (event) => held && held.pointer === event.pointerId && end(true));
document.addEventListener("pointercancel", () => end(false));

// --- keys: arrows move the rack whose grip has the focus; a pause or Enter is one edit ------------------------------

const ARROWS = { ArrowLeft: [-1, 0], ArrowRight: [1, 0], ArrowUp: [0, 1], ArrowDown: [0, -1] };
let pause = 0;

document.addEventListener("keydown", (event) => {
  if (event.key === "Escape" && held) {
    clearTimeout(pause);
    event.preventDefault();
    end(false);
    return;
  }
  const thing = event.target.closest?.(".grip, .turner");
  if (!thing) return;
  if (event.key === "Enter" && held) {
    clearTimeout(pause);
    end(true);
    return;
  }
  const arrow = ARROWS[event.key];
  if (!arrow) return;
  event.preventDefault();
  const many = event.shiftKey ? 10 : 1;
  if (thing.matches(".grip")) {
    held ||= take(thing);
    place(held, held.dx + arrow[0] * STEP * many, held.dy + arrow[1] * STEP * many);
  } else {
    held ||= takeElbow(thing);
    turn(held, held.angle + (arrow[0] - arrow[1]) * many);
  }
  clearTimeout(pause);
  pause = setTimeout(() => end(true), 600);
});
document.addEventListener("focusout", (event) => {
  if (held && held.pointer === undefined && event.target.closest?.(".grip, .turner")) {
    clearTimeout(pause);
    end(true);
  }
});
