// Ticks of the build: one tap is a tick at once, whatever the line does; it can be taken back for ten seconds. They go
// the road of the entries, so a line that drops loses none. Without this file every button still works as a form.

import { refresh, say } from "./page.js";
import { newKey, queue } from "./queue.js";

const UNDO_FOR = 10000; // ms
const BOUNCE = 300; // ms in which a wet finger's second touch of one button is the same tap
const RECENT = "tankwright.recent-ticks";
const byId = (id) => document.getElementById(id);
const said = () => ({ ...document.body.dataset, ...byId("said").dataset });
let settling = []; // taken by the server, but not yet on the page it sent
let ticking = 0;
let timer = 0;

const ours = () => queue.items().filter((item) => item.road === "build");

function element(name, text) {
  const made = document.createElement(name);
  made.textContent = text;
  return made;
}

// --- what waits ----------------------------------------------------------------------------------------------------

function showTicked() {
  const last = new Map([...settling, ...ours()].map((item) => [item.task, item.do]));
  for (const place of document.querySelectorAll("[data-task]")) place.classList.toggle("ticked", last.get(place.dataset.task) === "done");
}

function showLine() {
  clearTimeout(timer);
  const saved = byId("saved");
  const waiting = ours();
  if (!waiting.length) {
    if (saved.dataset.ticks !== undefined) {
      delete saved.dataset.ticks;
      saved.dataset.state = "saved";
      saved.textContent = said().saidSaved;
    }
    return;
  }
  saved.dataset.ticks = "";
  saved.dataset.state = "saving";
  let text = said().saidSaving;
  const oldest = Math.min(...waiting.map((item) => new Date(item.happened).getTime()));
  if (queue.unkept) text = said().saidUnkept;
  else if (queue.state === "login") text = said().saidLogin;
  else if (queue.state !== "fine" || Date.now() - oldest > 1500) text = waiting.length === 1 ? said().saidWaits : said().saidWait.replace("#", waiting.length);
  else timer = setTimeout(showLine, 500);
  if (text !== said().saidSaving) saved.dataset.state = "unsaved";
  if (saved.textContent !== text) saved.textContent = text;
}

function showApart() {
  const apart = queue.apart().filter((item) => item.road === "build");
  const place = byId("apart");
  place.hidden = !apart.length;
  place.querySelector("ul").replaceChildren(...apart.map((item) => {
    const row = document.createElement("li");
    const again = element("button", said().saidAgain);
    again.addEventListener("click", () => queue.again(item));
    const drop = element("button", said().saidDrop);
    drop.addEventListener("click", () => queue.drop(item));
    const about = element("p", "");
    const why = element("span", item.refused);
    why.className = "error";
    about.append(element("b", `${item.says}: ${item.tank}`), why);
    row.append(about, again, drop);
    return row;
  }));
}

function show() {
  showTicked();
  showLine();
  showApart();
  showUndo();
}

// --- taking back -----------------------------------------------------------------------------------------------------

function recent() {
  try {
    return JSON.parse(sessionStorage.getItem(RECENT) || "[]").filter((one) => one.until > Date.now());
  } catch {
    return [];
  }
}

function keepRecent(taps) {
  try {
    sessionStorage.setItem(RECENT, JSON.stringify(taps));
  } catch {
    /* then only this page knows */
  }
}

function showUndo() {
  clearTimeout(ticking);
  const last = recent().at(-1);
  const bar = byId("undo-bar");
  if (!last) {
    if (bar.contains(document.activeElement)) byId("main").focus({ preventScroll: true });
    bar.hidden = true;
    return;
  }
  const left = last.until - Date.now();
  const button = bar.querySelector("button");
  bar.hidden = false;
  bar.querySelector("b").textContent = said().saidDone;
  bar.querySelector("span").textContent = last.tank;
  button.textContent = `${said().saidUndo} ${Math.ceil(left / 1000)}`;
  button.setAttribute("aria-label", `${said().saidUndo}: ${last.tank}`);
  bar.querySelector("progress").value = left / 1000;
  ticking = setTimeout(showUndo, 250);
}

function undo() {
  const taps = recent();
  const last = taps.pop();
  keepRecent(taps);
  if (last) {
    queue.add({ road: "build", task: last.task, do: "undone", tank: last.tank, says: said().saidUndone });
    say(`${said().saidUndone}: ${last.tank}`);
  }
  show();
}
byId("undo-bar").querySelector("button").addEventListener("click", undo);

// --- tapping ---------------------------------------------------------------------------------------------------------

document.addEventListener("submit", (event) => {
  const form = event.target;
  if (!form.matches("form[data-mark]")) return;
  event.preventDefault();
  const now = Date.now();
  if (now - Number(form.dataset.tapped || 0) < BOUNCE) return;
  form.dataset.tapped = String(now);
  const { key: _key, back: _back, ...fields } = Object.fromEntries(new FormData(form));
  const done = fields.do === "done";
  const says = done ? said().saidDone : said().saidUndone;
  const tank = form.dataset.title; // what the queue calls its subject
  queue.add({ ...fields, road: "build", key: newKey(), tank, says });
  if (done && !form.closest(".is-done")) keepRecent([...recent(), { task: fields.task, tank, until: now + UNDO_FOR }]);
  if (!done) keepRecent(recent().filter((one) => one.task !== fields.task));
  navigator.vibrate?.(40);
  say(`${says}: ${tank}`);
  show();
});

queue.listen((what, item) => {
  if (item && item.road !== "build") return;
  if (what === "kept") {
    settling.push(item);
    refresh();
  }
  if (what === "refused") keepRecent(recent().filter((one) => one.task !== item.task));
  show();
});

document.addEventListener("repainted", () => {
  settling = [];
  show();
});

queue.flush();
show();
