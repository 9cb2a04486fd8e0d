// Edits: a form is sent at once, one after the other, and sent again until the server has confirmed it. What was
// refused stays where it was typed, with the reason beside it, until it is typed anew.

import { address, ask, isNewest, notice, number, parsed, refresh, repaint, say } from "./page.js";
import { newKey, pending } from "./pending.js";

const PATIENCE = 15000; // ms until a line that says nothing counts as cut; the key keeps an edit from being made twice
const SMALL = 60000; // bytes a browser still sends for a page that is already gone
const body = document.body;
const saved = document.getElementById("saved");
const RACES = 30; // times an edit may come too late for another one before its owner is asked
const STEPS = ["undo", "redo"];
let sending = 0;
let leaving = false;
let heard = 0; // the newest number of the plan anybody told us
let stale = false; // something was told while an edit of ours was on its way

function state(name) {
  if (!saved) return;
  saved.dataset.state = name;
  saved.textContent = body.dataset[`said${name[0].toUpperCase()}${name.slice(1)}`];
}

// Something changed somewhere: the page follows as soon as none of its own edits is on its way. The same number told
// twice is news beside the plan: an entry, the state of some work, the file itself.
export function hear(told) {
  stale ||= told !== number() || told === heard;
  heard = told;
  follow();
}

function follow() {
  if (sending || !stale) return;
  stale = false;
  refresh();
}

// Send one edit. Fields is an object; `shown` is what the page showed before, so that an edit that only lost a race
// against a change elsewhere is sent again upon the newer plan, and one that collides is put before its owner. Gives
// the number it led to, false when it was refused, null when it waits for the line.
export function send(fields, shown) {
  const edit = { ...fields, key: fields.key || newKey(), base: fields.base || String(number()) };
  forget();
  pending.hold(edit, shown);
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
  const mine = ask();
  sending += 1;
  state("saving");
  pending.hold(edit, shown);
  const sent = new URLSearchParams(edit);
  const how = { method: "POST", body: sent, headers: { accept: "text/html" }, signal: AbortSignal.timeout(PATIENCE) };
  let answer, html;
  try {
    answer = await fetch("/edit", { ...how, keepalive: leaving && sent.toString().length < SMALL });
    html = await answer.text();
  } catch {
    answer = null;
  }
  sending -= 1;
  if (!answer || answer.status >= 500) return wait(edit);
  if (answer.redirected && new URL(answer.url).pathname === "/login") {
    wait(edit); // the log-in ran out: the edit waits in the browser and is sent after it
    location.assign(answer.url);
    return null;
  }
  if (answer.status === 409 && tries < RACES && !STEPS.includes(edit.change)) {
    const there = parsed(html);
    if (shown !== undefined && standing(there, edit) === shown)
      return deliver({ ...edit, base: there.body.dataset.number }, shown, tries + 1);
  }
  pending.remove(edit.key);
  const now = numberIn(html) || number();
  if (answer.ok && now > Number(edit.base)) own.set(edit.base, String(Number(edit.base) + 1));
  if (!pending.mine().length && !sending) state(answer.ok ? "saved" : "refused");
  answer.ok ? taken(edit, now, html) : refused(edit, now, answer, html);
  if (answer.ok && edit.back === address() && isNewest(mine)) repaint(html);
  stale = number() < Math.max(heard, now) || (stale && heard === number() && !isNewest(mine));
  follow();
  return answer.ok && now;
}

// What stands by now where an edit belongs, to be held against what its page showed; a rack is where its outline is.
function standing(there, edit) {
  if (edit.change === "rack") return there.querySelector(`[data-rack="${CSS.escape(edit.rack)}"][data-box]`)?.dataset.box;
  if (edit.change === "hole") return there.querySelector(`.bore[data-kind="${CSS.escape(edit.kind)}"][data-number="${CSS.escape(edit.number)}"]`)?.dataset.place;
  if (edit.change === "tank") return there.querySelector(`.slide[data-tank="${CSS.escape(edit.tank)}"]`)?.dataset.left;
  return there.querySelector("[data-theirs]")?.dataset.theirs;
}

function wait(edit) {
  state("unsaved");
  pending.release(edit.key);
  pending.later(retry);
  return null;
}

const numberIn = (html) => Number(/data-number="(\d+)"/.exec(html)?.[1]);
const formOf = (edit) => document.querySelector(`form[data-key="${edit.key}"]`);

// What stands in the plan now is what the next typing there begins with.
function taken(edit, now, html) {
  const form = formOf(edit);
  if (!form) return;
  const field = typedIn(form);
  const typedOn = field && field.dataset.sent !== field.value; // while this was on its way
  for (const one of form.elements) if (!(typedOn && one === field)) delete one.dataset.dirty;
  if (typedOn) field.dataset.dirty = String(now);
  delete form.dataset.key;
  if (!field) return;
  delete field.dataset.sent;
  const fresh = field.id && parsed(html).getElementById(field.id);
  if (!fresh || field.nodeName === "SELECT") return;
  field.defaultValue = fresh.defaultValue;
  if (fresh.dataset.shown !== undefined) field.dataset.shown = fresh.dataset.shown;
}

// What was typed stays, and is guarded like what is being typed; the reason comes with the answer, or stands over
// the page where that has no place for it.
function refused(edit, now, answer, html) {
  const form = formOf(edit);
  const field = form && typedIn(form);
  if (form) delete form.dataset.key;
  if (field) {
    field.dataset.dirty ??= String(now);
    field.dataset.refused = field.dataset.sent ?? field.value;
    delete field.dataset.sent;
  }
  if (!answer.headers.get("content-type").startsWith("text/html")) return notice(html);
  const there = parsed(html);
  const words = there.querySelector(there.body.dataset.number ? "main .error" : "main p"); // else the server's own refusal
  const told = words?.textContent.trim().replace(/\s+/g, " ") || "";
  const typed = edit.typed ? `“${edit.typed.length > 80 ? `${edit.typed.slice(0, 80)}…` : edit.typed}”: ` : "";
  if (edit.back !== address()) return notice(typed + told, edit.back);
  repaint(html);
  const error = form?.isConnected && form.querySelector(".error");
  if (error) form.dataset.refused = "";
  const elsewhere = [...document.querySelectorAll("main .error")].find((one) => !one.closest("form"));
  if (elsewhere) (elsewhere.closest(".block") ?? elsewhere).dataset.keep = "";
  else if (!error) notice(typed + told);
  if (told) say(told);
}

// What was refused before is of no interest once something else is done.
function forget() {
  for (const old of document.querySelectorAll("main [data-keep]:is(.error, .block)")) old.remove();
}

async function retry() {
  for (const { fields, shown } of pending.mine()) {
    if (underway.has(fields.key)) continue;
    const good = await queued(fields, shown);
    if (good === null) return; // the line is still cut
  }
  if (pending.some()) pending.later(retry, 5000); // another page has them in hand, or it died with them
}
export const again = () => pending.some() && retry();

// --- forms ------------------------------------------------------------------------------------------------------

const typedIn = (form) => form.elements.typed || form.querySelector("[data-typed]");

function fieldsOf(form, submitter) {
  const fields = Object.fromEntries(new FormData(form, submitter || undefined));
  fields.key = newKey();
  fields.base = typedIn(form)?.dataset.dirty || String(number()); // what the page showed when the typing began
  fields.back = address();
  return fields;
}

function shownBy(form) {
  const field = typedIn(form);
  if (!field) return undefined;
  if (field.dataset.shown !== undefined) return field.dataset.shown;
  return field.nodeName === "SELECT" ? [...field.options].find((one) => one.defaultSelected)?.value : field.defaultValue;
}

document.addEventListener("submit", (event) => {
  const form = event.target;
  if (!form.matches("form[data-edit]")) {
    for (const field of form.elements) delete field.dataset.dirty;
    return;
  }
  event.preventDefault();
  const field = typedIn(form);
  if (field ? field.dataset.sent === field.value : form.dataset.key && !form.matches(".step")) return; // Enter after the change was sent, a second click
  submit(form, event.submitter);
});

function submit(form, submitter) {
  const field = typedIn(form);
  const shown = field?.dataset.sent ?? shownBy(form); // one that is still on its way will stand there by then
  const fields = fieldsOf(form, submitter);
  if (field) {
    field.dataset.sent = field.value;
    delete field.dataset.dirty;
    delete field.dataset.refused;
  }
  delete form.dataset.refused;
  form.dataset.key = fields.key;
  send(fields, shown);
}

document.addEventListener("input", (event) => {
  if (event.target.form) event.target.dataset.dirty ||= String(number());
});

document.addEventListener("change", (event) => {
  const form = event.target.form;
  if (!form || !form.matches("form[data-edit]") || form.hasAttribute("data-ask")) return;
  if (event.target === typedIn(form) && event.target.dataset.sent !== event.target.value) form.requestSubmit();
});

// Back, or a closed page, while something is typed and not yet sent: it is sent now.
export function flush() {
  for (const form of document.querySelectorAll("form[data-edit]:not([data-ask])")) {
    const field = typedIn(form);
    if (field?.dataset.dirty !== undefined && field.dataset.refused !== field.value) form.requestSubmit();
  }
}
addEventListener("pagehide", () => {
  leaving = true;
  flush();
});
addEventListener("pageshow", (event) => {
  leaving = false;
  if (event.persisted) refresh();
});
addEventListener("online", () => again());
