// A drilled hole taken in its pane: it follows the hand, the server's screening says what the pane would come to there,
// and letting go writes both measures into the plan as one edit.

import { number, say, send } from "./core.js";
import { fine } from "./lengths.js";

const SVG = "http://www.w3.org/2000/svg";
const AWAY = 3.6; // mm from an edge to the dimension line beside it
const STEP = 0.002; // m a press of an arrow key moves it; ten times that with Shift

export function takeHole(handle) {
  const svg = handle.closest("svg");
  const numbers = (name) => handle.dataset[name].split(" ").map(Number);
  const start = [Number(handle.dataset.across), Number(handle.dataset.down)];
  const [ways, scale] = [numbers("ways"), Number(svg.dataset.scale)];
  const lines = document.createElementNS(SVG, "g");
  lines.setAttribute("class", "clearances");
  lines.setAttribute("aria-hidden", "true");
  svg.append(lines);
  const held = {
    svg, handle, lines, start, at: start, ways, scale, room: numbers("room"), edges: numbers("edges"), names: handle.dataset.words.split("|"),
    plan: numbers("place"), base: String(number()), shown: handle.dataset.place, told: document.getElementById("tried")?.innerHTML, busy: false, next: null,
    follow: ([x, y], [fromX, fromY]) => place(held, start[0] + (ways[0] * (x - fromX)) / scale, start[1] + (ways[1] * (y - fromY)) / scale),
    step: ([x, y], many) => place(held, held.at[0] + ways[0] * x * STEP * many, held.at[1] - ways[1] * y * STEP * many),
    end: (keep) => letGo(held, keep),
  };
  return held;
}

const onPage = ({ edges, ways, scale }, [across, down]) => [
  ways[0] > 0 ? edges[0] + across * scale : edges[0] + edges[2] - across * scale,
  ways[1] > 0 ? edges[1] + down * scale : edges[1] + edges[3] - down * scale,
];

function place(hole, across, down) {
  const [least, most, high, low] = hole.room;
  const within = (value, from, to) => Math.round(Math.min(Math.max(value, from), Math.max(from, to)) * 1000) / 1000;
  hole.at = [within(across, least, most), within(down, high, low)];
  const [from, to] = [onPage(hole, hole.start), onPage(hole, hole.at)];
  hole.handle.setAttribute("transform", `translate(${to[0] - from[0]} ${to[1] - from[1]})`);
  measure(hole, to);
  const words = hole.at.map((one) => fine(one, hole.svg));
  hole.said = `${words[0]} ${hole.names[0]}, ${words[1]} ${hole.names[1]}`;
  ask(hole);
}

// As the drawing has them at rest: over the pane, and beside the edge it is measured from.
function measure(hole, [x, y]) {
  const { edges: [, top], lines, svg } = hole;
  const [edgeX, edgeY] = onPage(hole, [0, 0]);
  const [over, aside] = [top - AWAY, edgeX + (hole.ways[0] > 0 ? -AWAY : AWAY)];
  lines.replaceChildren(
    ...dimension(edgeX, over, x, over, fine(hole.at[0], svg)), ...dimension(aside, edgeY, aside, y, fine(hole.at[1], svg)),
    path(`M${x} ${over}V${y}M${aside} ${y}H${x}`, "thin"),
  );
}

function path(d, name) {
  const line = document.createElementNS(SVG, "path");
  line.setAttribute("d", d);
  if (name) line.setAttribute("class", name);
  return line;
}

function dimension(x0, y0, x1, y1, words) {
  const text = document.createElementNS(SVG, "text");
  const [x, y] = [(x0 + x1) / 2 - (x0 === x1 ? 1 : 0), (y0 + y1) / 2 - (x0 === x1 ? 0 : 1)];
  text.setAttribute("x", x);
  text.setAttribute("y", y);
  if (x0 === x1) text.setAttribute("transform", `rotate(270 ${x} ${y})`);
  text.textContent = words;
  return [path(`M${x0} ${y0}L${x1} ${y1}`), text];
}

// The newest place is asked for as soon as the answer to the one before is there.
async function ask(hole) {
  hole.next = hole.at;
  if (hole.busy) return;
  hole.busy = true;
  while (hole.next) {
    const [x, y] = hole.next;
    hole.next = null;
    const { kind, pane, number: which } = hole.handle.dataset;
    try {
      const answer = await fetch(`/glass/hole?${new URLSearchParams({ kind, pane, hole: which, x, y })}`, { headers: { accept: "text/html" } });
      if (!answer.ok || hole.over) break;
      const told = new DOMParser().parseFromString(await answer.text(), "text/html").getElementById("tried");
      if (!told || hole.over) break;
      tell(hole, told);
    } catch {
      break; // the line is cut: what is shown stays
    }
  }
  hole.busy = false;
}

function tell(hole, told) {
  const here = document.getElementById("tried");
  here?.replaceChildren(...told.childNodes);
  const worst = hole.svg.querySelector(".worst");
  if (worst && told.dataset.worst) {
    const [from, to] = [worst.dataset.at, told.dataset.worst].map((one) => onPage(hole, one.split(" ").map(Number)));
    worst.setAttribute("transform", `translate(${to[0] - from[0]} ${to[1] - from[1]})`);
  }
  say(`${hole.said}: ${told.dataset.says || ""}`);
}

function back(hole) {
  hole.handle.removeAttribute("transform");
  hole.svg.querySelector(".worst")?.removeAttribute("transform");
  told(hole);
}

function told(hole) {
  const here = document.getElementById("tried");
  if (here && hole.told !== undefined) here.innerHTML = hole.told; // as the server wrote it
}

function letGo(hole, keep) {
  hole.over = true;
  hole.lines.remove();
  const still = hole.at.every((one, place) => Math.abs(one - hole.plan[place]) < 5e-4);
  if (!keep || still) {
    const moved = hole.at !== hole.start;
    back(hole);
    if (!keep && moved) say("Put back.");
    return;
  }
  told(hole); // the old figures, so that the page can show what became of them
  const clean = new URL(location.href);
  for (const name of ["across", "down"]) clean.searchParams.delete(name); // a place that was only tried
  history.replaceState(history.state, "", clean);
  const { kind, number: which } = hole.handle.dataset;
  const fields = { change: "hole", kind, number: which, x: String(hole.at[0]), y: String(hole.at[1]), base: hole.base, back: clean.pathname + clean.search };
  send(fields, hole.shown).then((good) => good || back(hole));
}
