// The verdict on what was just read, before the server has it: a line that drops between two tanks leaves nobody without.

import { queue } from "./queue.js";

const points = () => document.getElementById("points");
const asNumber = (text) => Number(String(text).replace(",", ".").replace("−", "-") || NaN);

function verdict(form, typed) {
  const said = points().dataset;
  const value = asNumber(typed.endsWith(form.dataset.unit) ? typed.slice(0, -form.dataset.unit.length).trim() : typed);
  if (Number.isNaN(value)) return [said.saidKept, "kept", ""];
  const [low, high, least, most] = form.dataset.expected.split(" ").map(Number);
  if (value >= low && value <= high) return [said.saidWithin, "within", ""];
  const middle = form.dataset.ceiling ? high : (low + high) / 2;
  const power = Math.floor(Math.log10(Number(form.dataset.by)) + 1e-9); // as finely as the instrument shows
  const by = Math.round(Math.abs(value - middle) / 10 ** power) * 10 ** power;
  const text = `${by.toFixed(Math.max(0, -power))} ${form.dataset.unit}`;
  const assumed = value >= least && value <= most;
  return [(value > high ? form.dataset.saidHigh : form.dataset.saidLow).replace("#", text), assumed ? "assumed" : value > high ? "high" : "low", assumed ? said.saidAssumed : ""];
}

function show() {
  if (!points()) return;
  const waiting = queue.items().filter((item) => item.road === "reading");
  const undone = new Set(waiting.filter((item) => item.kind === "undo").map((item) => item.undoes));
  for (const section of document.querySelectorAll(".point")) {
    const mine = waiting.filter((item) => item.point === section.dataset.kind);
    if (!mine.length) continue;
    const read = mine.filter((item) => item.kind === "reading" && !undone.has(item.key)).at(-1);
    const form = section.querySelector("form[data-test]");
    const [text, state, more] = read && form ? verdict(form, read.value) : [points().dataset.saidNone, "not-read", ""];
    const place = section.querySelector(".verdict");
    place.className = `verdict ${state}`;
    place.textContent = text;
    if (more) {
      const small = document.createElement("small");
      small.textContent = more;
      place.append(" ", small);
    }
  }
}

queue.listen((what, item) => {
  if (what === "kept") return; // the page is on its way
  if (what === "refused") {
    const section = [...document.querySelectorAll(".point")].find((one) => one.dataset.kind === item.point);
    const field = section?.querySelector("input[name=value]");
    if (field) field.dataset.dirty = ""; // what was typed stays there
  }
  show();
});
document.addEventListener("tankwright:shown", show);
show();
