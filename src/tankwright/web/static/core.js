// What makes a page live: forms are sent at once, answers repaint the page in place, changes made elsewhere arrive by the socket.
// Nothing here knows what a page shows; without this file every form and link still works.

import { morph } from "./morph.js";
import { pending } from "./pending.js";

const body = document.body;
const saved = document.getElementById("saved");
const announced = document.getElementById("announce");
const parser = new DOMParser();
const PATIENCE = 15000; // ms until a line that says nothing counts as cut; the key keeps an edit from being made twice
let newest = 0; // the number of the last answer asked for: an older one that arrives late is dropped
let sending = 0;

export const number = () => Number(document.body.dataset.number);

// --- repainting -------------------------------------------------------------------------------------------------

export function repaint(html) {
  const fresh = parser.parseFromString(html, "text/html");
  const changed = [];
  if (Number(fresh.body.dataset.number) < number()) return fresh.body; // overtaken by a newer answer
  document.title = fresh.title;
  const copy = fresh.body.cloneNode(true);
  morph(document.body, copy, changed);
  show(changed);
  document.dispatchEvent(new CustomEvent("repainted"));
  return fresh.body;
}

function show(changed) {
  const told = [];
  for (const [element, before] of changed.slice(0, 40)) {
    const was = document.createElement("s");
    was.className = "was";
    was.textContent = before;
    const now = element.textContent.trim();
    element.prepend(was, " ");
    element.classList.add("changed");
    setTimeout(() => {
      was.remove();
      element.classList.remove("changed");
    }, 5000);
    if (told.length < 3) told.push(`${before} → ${now}`);
  }
  if (told.length) say(`${changed.length > 3 ? `${changed.length} figures changed: ` : ""}${told.join("; ")}`);
}

export function say(text) {
  announced.textContent = "";
  setTimeout(() => (announced.textContent = text), 50);
}

export async function refresh() {
  const mine = ++newest;
  try {
    const answer = await fetch(location.href, { headers: { accept: "text/html" } });
    if (mine === newest && answer.ok) repaint(await answer.text());
  } catch {
    /* the socket will tell when the server is back */
  }
}

// --- saving -----------------------------------------------------------------------------------------------------

function state(name) {
  if (!saved) return;
  saved.dataset.state = name;
  saved.textContent = body.dataset[`said${name[0].toUpperCase()}${name.slice(1)}`];
}

export function newKey() {
  const bytes = crypto.getRandomValues(new Uint8Array(12)); // randomUUID does not exist on plain http
  return [...bytes].map((byte) => byte.toString(16).padStart(2, "0")).join("");
}

// Send one edit. Fields is an object; `shown` is what the page showed before, so that an edit that only lost a race
// against a change elsewhere is sent again upon the newer plan, and one that collides is put before its owner.
export function send(fields, shown) {
  const edit = { ...fields, key: fields.key || newKey(), base: fields.base || String(number()) };
  pending.add(edit);
  return queued(edit, shown);
}

// One edit after the other, in the order they were made; what was built upon an edit of our own is no collision.
let queue = Promise.resolve();
const underway = new Set(); // keys of the edits in the queue
const own = new Map(); // number of the plan -> the number our own edit made of it

function queued(edit, shown) {
  underway.add(edit.key);
  const done = queue.then(() => deliver(edit, shown, 0)).finally(() => underway.delete(edit.key));
  queue = done.catch(() => false);
  return done;
}

async function deliver(edit, shown, tries) {
  while (own.has(edit.base)) edit.base = own.get(edit.base);
  const mine = ++newest;
  sending += 1;
  state("saving");
  let answer, html;
  try {
    answer = await fetch("/edit", { method: "POST", body: new URLSearchParams(edit), headers: { accept: "text/html" }, signal: AbortSignal.timeout(PATIENCE) });
    html = await answer.text();
  } catch {
    sending -= 1;
    state("unsaved");
    pending.later(retry);
    return false;
  }
  sending -= 1;
  if (answer.status >= 500) {
    state("unsaved");
    pending.later(retry);
    return false;
  }
  if (answer.redirected && new URL(answer.url).pathname === "/login") {
    state("unsaved"); // the log-in ran out: the edit waits in the browser and is sent after it
    location.assign(answer.url);
    return false;
  }
  if (answer.status === 409 && tries < 5) {
    const there = parser.parseFromString(html, "text/html");
    const theirs = there.querySelector("[data-theirs]");
    const untouched = ["undo", "redo"].includes(edit.change) || (theirs && shown !== undefined && theirs.dataset.theirs === shown);
    if (untouched) return deliver({ ...edit, base: there.body.dataset.number }, shown, tries + 1);
  }
  pending.remove(edit.key);
  if (answer.ok && numberIn(html) > Number(edit.base)) own.set(edit.base, String(Number(edit.base) + 1));
  if (!pending.size() && !sending) state(answer.ok ? "saved" : "refused");
  const page = (edit.back || "/").split("?")[0];
  if (!answer.headers.get("content-type").startsWith("text/html")) notice(html);
  else if (page !== location.pathname) answer.ok ? refresh() : notice(refusal(html), edit.back); // made on another page
  else if (mine === newest || !answer.ok) repaint(html);
  return answer.ok && (numberIn(html) || number());
}

// What became of an edit that no field of this page can tell.
function notice(text, address) {
  const line = document.createElement("p");
  line.className = "banner problem";
  line.dataset.keep = "";
  line.setAttribute("role", "alert");
  line.textContent = text;
  if (address) {
    const link = document.createElement("a");
    link.href = address;
    link.textContent = address;
    line.append(" ", link);
  }
  document.getElementById("main").before(line);
  setTimeout(() => line.remove(), 60000);
}

const refusal = (html) => parser.parseFromString(html, "text/html").querySelector(".error")?.textContent.trim() || "";

const numberIn = (html) => Number(/data-number="(\d+)"/.exec(html)?.[1]);

async function retry() {
  for (const edit of pending.all()) {
    if (underway.has(edit.key)) continue;
    const good = await queued(edit, undefined);
    if (!good && pending.all().some((one) => one.key === edit.key)) break; // the line is still cut
  }
}

// --- forms ------------------------------------------------------------------------------------------------------

const typedIn = (form) => form.elements.typed || form.querySelector("[data-typed]");

function fieldsOf(form, submitter) {
  const fields = Object.fromEntries(new FormData(form, submitter || undefined));
  fields.key = newKey();
  fields.base = typedIn(form)?.dataset.dirty || String(number()); // what the page showed when the typing began
  fields.back = location.pathname + location.search;
  return fields;
}

function shownBy(form) {
  const field = typedIn(form);
  if (!field) return undefined;
  return field.nodeName === "SELECT" ? [...field.options].find((one) => one.defaultSelected)?.value : field.defaultValue;
}

document.addEventListener("submit", (event) => {
  const form = event.target;
  if (!form.matches("form[data-edit]")) return;
  event.preventDefault();
  const field = typedIn(form);
  if (field && field.dataset.sent === field.value && field.value !== field.defaultValue) return; // Enter after the change was sent
  submit(form, event.submitter);
});

function submit(form, submitter) {
  const field = typedIn(form);
  const shown = shownBy(form);
  const fields = fieldsOf(form, submitter);
  if (field) {
    field.dataset.sent = field.value;
    delete field.dataset.dirty;
  }
  form.dataset.sending = "";
  send(fields, shown).then((good) => {
    delete form.dataset.sending;
    if (!field) return;
    delete field.dataset.sent;
    if (!good) return;
    if ("typed" in fields) field.defaultValue = fields.typed;
    if (field.dataset.dirty !== undefined) field.dataset.dirty = String(good); // typed on while this was on its way
  });
}

document.addEventListener("input", (event) => {
  const form = event.target.form;
  if (form && form.matches("form[data-edit]")) event.target.dataset.dirty ||= String(number());
});

document.addEventListener("change", (event) => {
  const form = event.target.form;
  if (!form || !form.matches("form[data-edit]") || form.hasAttribute("data-ask")) return;
  if (event.target === typedIn(form) && event.target.dataset.sent !== event.target.value) form.requestSubmit();
});

// --- links of the same page repaint in place; Back works as the address says ----------------------------------------

document.addEventListener("click", (event) => {
  const link = event.target.closest("a[href]");
  if (!link || event.defaultPrevented || event.button || event.ctrlKey || event.metaKey || event.shiftKey || event.altKey) return;
  const address = new URL(link.href.baseVal ?? link.href, location.href);
  if (address.origin !== location.origin || address.pathname !== location.pathname || link.target) return;
  event.preventDefault();
  history.pushState(null, "", address);
  refresh().then(() => address.hash && document.getElementById(address.hash.slice(1))?.scrollIntoView({ block: "nearest" }));
});
addEventListener("popstate", refresh);

// --- keys -------------------------------------------------------------------------------------------------------

document.addEventListener("keydown", (event) => {
  const typing = event.target.matches("input, textarea, select");
  if (event.key === "/" && !typing) {
    event.preventDefault();
    document.getElementById("find")?.focus();
  }
  if ((event.ctrlKey || event.metaKey) && ["z", "y", "Z"].includes(event.key) && !(typing && event.target.dataset.dirty !== undefined)) {
    const which = event.key === "z" && !event.shiftKey ? "undo" : "redo";
    const button = document.querySelector(`[data-step=${which}]`);
    if (button && !button.disabled) {
      event.preventDefault();
      button.form.requestSubmit(button);
    }
  }
  if (event.key === "Escape" && !typing) {
    const close = document.querySelector(".working .close");
    if (close) close.click();
  }
});

// --- findings light their places ----------------------------------------------------------------------------------

function light(event, on) {
  const finding = event.target.closest?.("[data-places]");
  if (!finding) return;
  for (const place of finding.dataset.places.split("|").filter(Boolean)) {
    for (const shape of document.querySelectorAll(`.drawing [data-place="${CSS.escape(place)}"]`)) shape.classList.toggle("lit", on);
  }
}
for (const name of ["mouseover", "focusin"]) document.addEventListener(name, (event) => light(event, true));
for (const name of ["mouseout", "focusout"]) document.addEventListener(name, (event) => light(event, false));

// --- the socket -------------------------------------------------------------------------------------------------

let pause = 500;
function listen() {
  const socket = new WebSocket(`${location.protocol === "https:" ? "wss" : "ws"}://${location.host}/live`);
  socket.addEventListener("message", (event) => {
    pause = 500;
    if (pending.size()) retry();
    if (JSON.parse(event.data).number !== number() && !sending) refresh();
  });
  socket.addEventListener("close", () => {
    setTimeout(listen, pause);
    pause = Math.min(pause * 1.6, 8000);
  });
}
if (saved) listen();

// --- local time -------------------------------------------------------------------------------------------------

function localTimes() {
  for (const time of document.querySelectorAll("time[data-local]")) {
    const text = new Date(time.dateTime).toLocaleString(document.documentElement.lang, { dateStyle: "medium", timeStyle: "short" });
    if (time.textContent !== text) time.textContent = text;
  }
}
document.addEventListener("repainted", localTimes);
localTimes();

// --- what needs looking at again while it runs ----------------------------------------------------------------------

setInterval(() => {
  if (document.querySelector("[data-running]") && !document.hidden) refresh();
}, 700);

if (pending.size()) retry();
document.documentElement.dataset.live = "";
