// Draw again while somebody types: the answers go into the address, the page repaints from there. Each answer is one
// step Back; nothing is kept that the address does not hold.

import { refresh } from "./core.js";

const PAUSE = 250; // ms without a key until it is drawn
const UNFINISHED = 1500; // the same while a length has no unit yet: nobody wants to be corrected in the middle of it
const form = () => document.getElementById("answers");
let waiting = 0;
let inHand = ""; // the answer being typed: its first letter makes a new step in the history, the others replace it

function address() {
  const kept = new URLSearchParams();
  for (const [name, value] of new FormData(form())) if (value.trim()) kept.append(name, value);
  const asked = kept.toString();
  return location.origin + "/start" + (asked ? `?${asked}` : "");
}

function draw() {
  clearTimeout(waiting);
  waiting = 0;
  if (address() !== location.href) history.replaceState(null, "", address());
  refresh();
}

document.addEventListener("input", (event) => {
  if (!form()?.contains(event.target)) return;
  const name = event.target.name;
  event.target.dataset.dirty = ""; // a drawing that is on its way must not put an older answer back
  if (inHand !== name) {
    inHand = name;
    history.pushState(null, "", address());
  }
  clearTimeout(waiting);
  const finished = ["", "tanks", "title", "display"].includes(event.target.value && name) || /[a-z"'′″]\s*$/i.test(event.target.value);
  waiting = setTimeout(draw, finished ? PAUSE : UNFINISHED);
});

document.addEventListener("change", (event) => form()?.contains(event.target) && waiting && draw());
document.addEventListener("focusout", (event) => form()?.contains(event.target) && (inHand = ""));

document.addEventListener("submit", (event) => {
  if (event.target !== form() || event.submitter?.matches(".main")) return;
  event.preventDefault(); // Enter in a field, or "Draw it"
  draw();
});

addEventListener("popstate", () => {
  clearTimeout(waiting);
  waiting = 0;
  inHand = "";
  for (const field of form()?.elements ?? []) delete field.dataset.dirty;
  if (form()?.contains(document.activeElement)) document.activeElement.blur();
}, { capture: true });
