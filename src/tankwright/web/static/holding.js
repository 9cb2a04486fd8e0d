// Things of a drawing taken by pointer or by keys. Letting go is one edit, Escape is none.
// What is held says itself how it follows, how it goes back and what it sends.

let handles = []; // what can be taken, by selector, and how
let any = "";

export function hold(these) {
  handles = these;
  any = these.map(([name]) => name).join(", ");
}

const ARROWS = { ArrowLeft: [-1, 0], ArrowRight: [1, 0], ArrowUp: [0, 1], ArrowDown: [0, -1] };
const REST = 600; // ms without a key after which what the arrows moved is one edit
let held = null;
let pause = 0;

const take = (handle) => handles.find(([name]) => handle.matches(name))[1](handle);

function pointIn(svg, event) {
  const point = new DOMPoint(event.clientX, event.clientY).matrixTransform(svg.getScreenCTM().inverse());
  return [point.x, point.y];
}

function end(keep) {
  if (!held) return;
  clearTimeout(pause);
  const one = held;
  held = null;
  delete one.svg.dataset.held;
  one.end(keep);
}

document.addEventListener("pointerdown", (event) => {
  const handle = event.target.closest?.(any);
  if (event.button || held || !handle) return;
  event.preventDefault();
  handle.focus?.();
  held = take(handle);
  held.svg.dataset.held = "";
  held.from = pointIn(held.svg, event);
  held.pointer = event.pointerId;
});
document.addEventListener("pointermove", (event) => {
  if (held && held.pointer === event.pointerId) held.follow(pointIn(held.svg, event), held.from);
});
document.addEventListener("pointerup", (event) => held && held.pointer === event.pointerId && end(true));
document.addEventListener("pointercancel", () => end(false));

document.addEventListener("keydown", (event) => {
  if (event.key === "Escape" && held) {
    event.preventDefault();
    end(false);
    return;
  }
  const handle = event.target.closest?.(any);
  if (!handle) return;
  if (event.key === "Enter" && held) {
    end(true);
    return;
  }
  const arrow = ARROWS[event.key];
  if (!arrow) return;
  event.preventDefault();
  if (!held) {
    held = take(handle);
    held.svg.dataset.held = "";
  }
  held.step(arrow, event.shiftKey ? 10 : 1);
  clearTimeout(pause);
  pause = setTimeout(() => end(true), REST);
});
document.addEventListener("focusout", (event) => {
  if (held && held.pointer === undefined && event.target.closest?.(any)) end(true);
});
