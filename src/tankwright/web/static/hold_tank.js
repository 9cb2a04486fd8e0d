// The chosen tank held by the dots at its foot: it slides along its shelf, and the row it stands in goes with it.

import { number, say, send } from "./core.js";
import { words } from "./lengths.js";

const STEP = 0.01; // m a press of an arrow key moves it; ten times that with Shift

export function takeTank(handle) {
  const svg = handle.closest("svg");
  const row = new Set(handle.dataset.row.split("|"));
  const held = {
    svg, handle, dx: 0, left: Number(handle.dataset.left), least: Number(handle.dataset.least), most: Number(handle.dataset.most),
    parts: [handle, ...[...svg.querySelectorAll("a.tank")].filter((one) => row.has(one.dataset.place))],
    scale: Number(svg.dataset.scale), base: String(number()), shown: handle.dataset.left,
    follow: ([x], [from]) => slide(held, (x - from) / held.scale),
    step: ([x], many) => slide(held, held.dx + x * STEP * many),
    end: (keep) => letGo(held, keep),
  };
  return held;
}

function slide(tank, dx) {
  tank.dx = Math.round(Math.min(Math.max(dx, tank.least), tank.most) * 200) / 200;
  for (const part of tank.parts) part.setAttribute("transform", `translate(${tank.dx * tank.scale} 0)`);
  const told = words(tank.left + tank.dx, tank.svg);
  tank.handle.setAttribute("aria-valuenow", Math.round((tank.left + tank.dx) * 100));
  tank.handle.setAttribute("aria-valuetext", told);
  say(`${tank.handle.dataset.tank}: ${told}`);
}

function letGo(tank, keep) {
  const back = () => tank.parts.forEach((part) => part.removeAttribute("transform"));
  if (!keep || Math.abs(tank.dx) < 1e-9) {
    back();
    return;
  }
  const fields = { change: "tank", tank: tank.handle.dataset.tank, from_left: String(tank.left + tank.dx), base: tank.base, back: location.pathname + location.search };
  send(fields, tank.shown).then((good) => good || back());
}
