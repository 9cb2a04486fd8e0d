// The elbow of the chosen tank, held by the handle beside its hole.

import { number, say, send } from "./core.js";

export function takeElbow(elbow) {
  const [cx, cy] = elbow.dataset.at.split(" ").map(Number);
  const start = Number(elbow.dataset.angle);
  const held = {
    svg: elbow.closest("svg"), elbow, start, cx, cy, angle: start, side: Number(elbow.dataset.aside) < 0 ? -1 : 1,
    base: String(number()), shown: document.getElementById("elbow-angle")?.dataset.shown,
    follow([x, y]) {
      const [dx, dy] = [x - cx, y - cy];
      if (Math.hypot(dx, dy) > 0.5) turn(held, (Math.abs(Math.atan2(dx, -dy)) * 180) / Math.PI);
    },
    step: ([x, y], many) => turn(held, held.angle + (x - y) * many),
    end: (keep) => letGo(held, keep),
  };
  return held;
}

function turn(one, angle) {
  one.angle = Math.round(Math.min(90, Math.max(0, angle)));
  one.elbow.setAttribute("transform", `rotate(${one.side * (one.angle - one.start)} ${one.cx} ${one.cy})`);
  one.elbow.setAttribute("aria-valuenow", one.angle);
  one.elbow.setAttribute("aria-valuetext", `${one.angle}°`);
  say(`${one.elbow.dataset.tank}: ${one.angle}°`);
}

function letGo(one, keep) {
  if (!keep || one.angle === Math.round(one.start)) {
    one.elbow.removeAttribute("transform");
    return;
  }
  const fields = { change: "elbow", tank: one.elbow.dataset.tank, angle: String(one.angle), base: one.base, back: location.pathname + location.search };
  send(fields, one.shown).then((good) => good || one.elbow.removeAttribute("transform"));
}
