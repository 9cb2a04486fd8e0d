// A rack held by its six dots. While it moves, its clearances stand beside it as dimensions; a rack at a wall slides along it.

import { number, say, send } from "./core.js";
import { words } from "./lengths.js";

const SVG = "http://www.w3.org/2000/svg";
const STEP = 0.01; // m a press of an arrow key moves it; ten times that with Shift

const boxOf = (text) => {
  const [x0, y0, x1, y1] = text.split(" ").map(Number);
  return { x0, y0, x1, y1 };
};

export function takeRack(grip) {
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
  const held = {
    svg, name, parts: [rack], dimensions, dx: 0, dy: 0, start: boxOf(rack.dataset.box), room: space ? boxOf(space.dataset.box) : null,
    others, wall: rack.dataset.wall || "", shown: rack.dataset.box, base: String(number()), scale: Number(svg.dataset.scale),
    follow: ([x, y], [fromX, fromY]) => place(held, (x - fromX) / held.scale, -(y - fromY) / held.scale),
    step: ([x, y], many) => place(held, held.dx + x * STEP * many, held.dy + y * STEP * many),
    end: (keep) => letGo(held, keep),
  };
  return held;
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

function letGo(rack, keep) {
  rack.dimensions.remove();
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
