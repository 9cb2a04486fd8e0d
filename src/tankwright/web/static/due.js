// The round in a hand: a number that is unusual is asked about once, what was tapped stands as done while it waits.

import { queue } from "./queue.js";

const stops = () => document.getElementById("stops");
const asNumber = (text) => Number(text.replace(",", ".").replace("−", "-") || NaN);
const bound = (text, otherwise) => (text === undefined || text === "" ? otherwise : Number(text));

// --- several people on one screen ---------------------------------------------------------------------------------

const BURST = 60000; // ms without a tap after which somebody else may stand here; our choice, no source
let waiting = null; // the form that waits for initials
let known = { initials: "", until: 0 };

function shares() {
  try {
    return localStorage.getItem("tankwright.shares") === "yes";
  } catch {
    return false;
  }
}

// True when the tap may go on: nobody is asked, or whoever taps has said who it is.
function said(form) {
  if (!shares()) return true;
  if (known.until < Date.now()) {
    waiting = form;
    document.getElementById("who").hidden = false;
    document.getElementById("who-initials").focus();
    return false;
  }
  known.until = Date.now() + BURST;
  let field = form.elements.initials;
  if (!field) {
    field = document.createElement("input");
    field.type = "hidden";
    field.name = "initials";
    form.append(field);
  }
  field.value = known.initials;
  return true;
}

document.addEventListener("submit", (event) => {
  const form = event.target;
  if (form.id === "who") {
    event.preventDefault();
    const initials = document.getElementById("who-initials").value.trim();
    if (!initials) return;
    known = { initials, until: Date.now() + BURST };
    form.hidden = true;
    waiting?.requestSubmit();
    waiting = null;
  } else if (form.matches("form[data-enter]") && !said(form)) {
    event.preventDefault();
    event.stopImmediatePropagation();
  }
}, true);

// --- unusual numbers ------------------------------------------------------------------------------------------------

// Before phone.js sends it: outside its usual range it is sent with the second tap only.
document.addEventListener("submit", (event) => {
  const form = event.target;
  if (!form.matches("form[data-test][data-task]")) return;
  const typed = form.elements.value.value.trim();
  const value = asNumber(typed);
  const { least, most, unit } = form.dataset;
  form.querySelector(".asks")?.remove();
  if (Number.isNaN(value) || (value >= bound(least, -Infinity) && value <= bound(most, Infinity)) || form.elements.sure.value === typed) return;
  event.preventDefault();
  event.stopImmediatePropagation();
  form.elements.sure.value = typed;
  const asks = document.createElement("p");
  asks.className = "asks";
  asks.setAttribute("role", "alert");
  asks.textContent = stops().dataset.saidAsks.replace("#", `${typed} ${unit}`.trim());
  form.querySelector(".number").after(asks);
  navigator.vibrate?.([40, 80, 40]);
}, true);

// What waits in this browser is shown as done; taken back before it went, as not done.
function show() {
  if (!stops()) return;
  const mine = queue.items().filter((item) => item.road === "due");
  const undone = new Set(mine.filter((item) => item.kind === "undo").map((item) => item.undoes));
  const done = new Set(mine.filter((item) => item.kind === "done" && !undone.has(item.key)).flatMap((item) => item.tasks.split(" ")));
  let left = 0;
  for (const form of document.querySelectorAll("form[data-task]")) {
    const sent = done.has(form.dataset.task);
    form.classList.toggle("sent", sent);
    for (const button of form.querySelectorAll("button")) button.disabled = sent;
    if (!sent) left += 1;
  }
  for (const form of document.querySelectorAll("form.whole")) form.hidden = form.elements.tasks.value.split(" ").every((one) => done.has(one));
  const progress = document.getElementById("progress");
  if (progress) progress.textContent = progress.dataset.said.replace("#", left);
}

queue.listen(() => setTimeout(show, 0));
document.addEventListener("tankwright:shown", show);
show();
