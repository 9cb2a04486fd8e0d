// What one does in the room with a phone: a tap is an entry at once, whatever the line does; it can be taken back for
// ten seconds. Without this file every button still works as a form.

import { morph } from "./morph.js";
import { newKey, queue } from "./queue.js";

const UNDO_FOR = 10000; // ms
const BOUNCE = 300; // ms in which a wet finger's second touch of one button is the same tap
const RECENT = "tankwright.recent";
const LAST = 3;
const said = () => document.body.dataset;
const byId = (id) => document.getElementById(id);
const number = () => Number(document.body.dataset.number);

// --- the size of a finger ------------------------------------------------------------------------------------------

// How many dots a millimetre has was measured with a bank card on the page for it; main buttons are then 20 mm high.
try {
  const mm = Number(localStorage.getItem("tankwright.mm"));
  if (mm > 1.5 && mm < 12) document.documentElement.style.setProperty("--finger", `${Math.round(mm * 20)}px`);
} catch {
  /* then they are as high as the style says */
}

// --- local time --------------------------------------------------------------------------------------------------

const spoken = document.documentElement.lang || "en";
const language = navigator.languages.find((one) => one.split("-")[0] === spoken) || spoken; // en-GB writes 14:30
const wall = (date) => `${date.toDateString()} ${date.getHours()}:${date.getMinutes()}`;

// The clock shows some times twice, when it is put back: those are told with their zone.
function isTwice(date) {
  return [-60, -30, 30, 60].some((minutes) => wall(new Date(date.getTime() + minutes * 60000)) === wall(date));
}

function local(date) {
  const now = new Date();
  const days = Math.round((new Date(now).setHours(12, 0, 0, 0) - new Date(date).setHours(12, 0, 0, 0)) / 86400000);
  const time = { hour: "2-digit", minute: "2-digit", ...(isTwice(date) ? { timeZoneName: "short" } : {}) };
  const clock = date.toLocaleTimeString(language, time);
  if (days === 0) return clock;
  if (days === 1) return `${new Intl.RelativeTimeFormat(language, { numeric: "auto" }).format(-1, "day")} ${clock}`;
  const year = date.getFullYear() === now.getFullYear() ? undefined : "numeric";
  return `${date.toLocaleDateString(language, { day: "numeric", month: "short", year })} ${clock}`;
}

function localTimes() {
  for (const time of document.querySelectorAll("time[data-local]")) {
    const text = local(new Date(time.dateTime));
    if (time.textContent !== text) time.textContent = text;
  }
}

// --- repainting and going on -----------------------------------------------------------------------------------------

function say(text) {
  byId("announce").textContent = "";
  setTimeout(() => (byId("announce").textContent = text), 50);
}

function repaint(html) {
  const fresh = new DOMParser().parseFromString(html, "text/html");
  if (!fresh.body.classList.contains("phone")) return false;
  for (const sheet of fresh.querySelectorAll("link[rel=stylesheet]")) {
    const known = [...document.querySelectorAll("link[rel=stylesheet]")].some((one) => one.getAttribute("href") === sheet.getAttribute("href"));
    if (!known) document.head.append(sheet.cloneNode());
  }
  document.title = fresh.title;
  morph(document.body, fresh.body, []);
  show();
  return true;
}

let shown = location.pathname;
let asked = 0; // only the answer to the newest question is shown

async function fetched(address) {
  const mine = ++asked;
  const answer = await fetch(address, { headers: { accept: "text/html" }, signal: AbortSignal.timeout(8000) });
  const html = await answer.text();
  return { answer, html, overtaken: mine !== asked };
}

const ahead = new Map(); // pages by path as they were last seen, for while the line is cut

// Another phone page, fetched first; while the line is cut it is shown as it was last seen, or this one stays.
async function go(address, { back = false } = {}) {
  const here = `<!doctype html>${document.documentElement.outerHTML}`;
  const from = back ? shown : location.pathname;
  let html;
  try {
    const told = await fetched(address);
    if (told.overtaken) return;
    if (told.answer.redirected || !told.answer.ok) return location.assign(address);
    html = told.html;
  } catch {
    html = ahead.get(new URL(address, location.href).pathname);
    if (!html) return note(said().saidStays);
  }
  ahead.set(from, here);
  if (!back) history.pushState(null, "", address);
  if (!repaint(html)) return location.assign(address);
  const kind = new URL(location.href).searchParams.get("kind");
  if (kind && document.querySelector("[data-kind]")) open(kind);
  byId("main").focus({ preventScroll: true });
  if (!back) scrollTo(0, 0);
  byId(decodeURIComponent(location.hash.slice(1)))?.scrollIntoView();
  lookAhead();
}

// The test sheet is fetched before it is asked for: a line that drops between two touches stops nobody.
async function lookAhead() {
  shown = location.pathname;
  const sheet = document.querySelector(".taps > a, a[rel=next][href^='/due/walk/']");
  if (!sheet || ahead.has(sheet.pathname)) return;
  await new Promise((done) => setTimeout(done, 1500));
  try {
    const answer = await fetch(sheet.pathname, { headers: { accept: "text/html" } });
    if (answer.ok && !answer.redirected) ahead.set(sheet.pathname, await answer.text());
  } catch {
    /* then it is fetched when it is asked for */
  }
}

async function refresh() {
  try {
    const { answer, html, overtaken } = await fetched(location.href);
    if (!overtaken && answer.ok && !answer.redirected) repaint(html);
  } catch {
    /* the socket will tell when the server is back */
  }
}

async function refreshEntries() {
  const tank = said().tank;
  if (document.querySelector("[data-refresh]")) return refresh();
  if (!byId("entries")) return;
  try {
    const answer = await fetch(`${location.pathname}/entries`, { signal: AbortSignal.timeout(8000) });
    const fresh = new DOMParser().parseFromString(await answer.text(), "text/html").getElementById("entries");
    if (fresh && answer.ok && tank === said().tank) morph(byId("entries"), fresh, []);
    settling = settling.filter((item) => item.sent > Date.now() - 1000 && !document.querySelector(`#entries [data-key="${item.key}"]`));
  } catch {
    /* shown when the line is back */
  }
  show();
}

// --- what waits ----------------------------------------------------------------------------------------------------

let settling = []; // taken by the server, but not yet in the list it sent
let connected = true;
let noted = { text: "", until: 0 };
let timer = 0;

function line(text, state) {
  const place = byId("line");
  place.dataset.state = state;
  if (place.textContent !== text) place.textContent = text;
}

// What has to be read once stands there for a while.
function note(text) {
  noted = { text, until: Date.now() + 5000 };
  say(text);
  showLine();
}

function showLine() {
  clearTimeout(timer);
  if (noted.until > Date.now()) {
    timer = setTimeout(showLine, noted.until - Date.now() + 50);
    return line(noted.text, "waits");
  }
  const waiting = queue.items();
  const oldest = Math.min(...waiting.map((item) => Number(item.name.split(".")[2])));
  const late = queue.state !== "fine" || Date.now() - oldest > 1500;
  if (queue.unkept) return line(said().saidUnkept, "waits");
  if (waiting.length && queue.state === "login") return line(said().saidLogin, "waits");
  if (waiting.length && late) return line(waiting.length === 1 ? said().saidWaits : said().saidWait.replace("#", waiting.length), "waits");
  if (waiting.length) {
    timer = setTimeout(showLine, 1600 - (Date.now() - oldest));
    return line(said().saidSaving, "saving");
  }
  if (!connected) return line(said().saidCut, "waits");
  return line(said().saidSaved, "saved");
}

function element(name, text, className) {
  const made = document.createElement(name);
  made.textContent = text;
  if (className) made.className = className;
  return made;
}

function timeOf(item) {
  const time = element("time", local(new Date(item.happened)));
  time.dateTime = item.happened;
  time.dataset.local = "";
  return time;
}

function showWaiting() {
  const list = byId("waiting");
  if (!list) return;
  const queued = [...queue.items(), ...settling].filter((item) => item.tank === said().tank);
  const undone = new Set(queued.filter((item) => item.kind === "undo").map((item) => item.undoes));
  const rows = queued.filter((item) => item.kind !== "undo" && !undone.has(item.key) && !document.querySelector(`#entries [data-key="${item.key}"]`)).sort((a, b) => (a.happened < b.happened ? 1 : -1)).slice(0, LAST);
  list.replaceChildren(...rows.map((item) => {
    const row = document.createElement("li");
    row.dataset.key = item.key;
    const when = element("span", "", "when");
    when.append(timeOf(item), settling.includes(item) ? "" : ` · ${said().saidWaiting}`);
    row.append(element("span", item.says, "what"), " ", when);
    return row;
  }));
  let free = LAST - rows.length;
  for (const row of document.querySelectorAll("#entries > li")) {
    const gone = undone.has(row.dataset.key);
    row.classList.toggle("gone", gone);
    row.hidden = row.classList.contains("none-yet") ? rows.length > 0 : !gone && free-- <= 0;
  }
}

function showApart() {
  const apart = queue.apart();
  const place = byId("apart");
  place.hidden = !apart.length;
  place.querySelector("ul").replaceChildren(...apart.map((item) => {
    const row = document.createElement("li");
    const again = element("button", said().saidAgain);
    again.addEventListener("click", () => queue.again(item));
    const drop = element("button", said().saidDrop);
    drop.addEventListener("click", () => queue.drop(item));
    const about = element("p", "");
    about.append(element("b", `${item.tank}: ${item.says}`), " ", timeOf(item), element("span", item.refused, "error"));
    row.append(about, again, drop);
    return row;
  }));
}

function show() {
  localTimes();
  showWaiting();
  showApart();
  showLine();
  showUndo();
  document.dispatchEvent(new Event("tankwright:shown"));
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

let ticking = 0;

function showUndo() {
  clearTimeout(ticking);
  const last = recent().at(-1);
  const bar = byId("undo");
  if (!last) {
    if (bar.contains(document.activeElement)) byId("main").focus({ preventScroll: true });
    bar.hidden = true;
    return;
  }
  const left = last.until - Date.now();
  const seconds = Math.ceil(left / 1000);
  const button = bar.querySelector("button");
  bar.hidden = false;
  bar.querySelector("b").textContent = last.says;
  bar.querySelector("span").textContent = last.tank;
  button.textContent = `${said().saidUndo} ${seconds}`;
  button.setAttribute("aria-label", `${said().saidUndo}: ${last.tank}, ${last.says}`);
  bar.querySelector("progress").value = left / 1000;
  ticking = setTimeout(showUndo, 250);
}

function undo() {
  const taps = recent();
  const last = taps.pop();
  keepRecent(taps);
  if (last) {
    queue.add({ kind: "undo", tank: last.tank, road: last.road, point: last.point, undoes: last.key, says: `${said().saidUndo}: ${last.says}` });
    say(`${said().saidUndone}: ${last.tank}, ${last.says}`);
  }
  show();
}
byId("undo").querySelector("button").addEventListener("click", undo);

// --- tapping ---------------------------------------------------------------------------------------------------------

const sheetValue = (form) => form.elements.value.value.trim();
const asNumber = (text) => Number(text.replace(",", ".").replace("−", "-") || NaN);

// What is wrong with the number of a test, before it is sent; the server looks again.
function mistake(form) {
  const value = asNumber(sheetValue(form));
  if (Number.isNaN(value)) return form.hasAttribute("data-free") && /\d/.test(sheetValue(form)) ? "" : form.dataset.saidEmpty; // with a unit of its own
  return value < Number(form.dataset.low) || value > Number(form.dataset.high) ? form.dataset.saidRange : "";
}

function showMistake(form, text) {
  const field = form.elements.value;
  const id = `${field.id}-error`;
  byId(id)?.remove();
  if (text) {
    const place = element("p", text, "error");
    place.id = id;
    place.setAttribute("role", "alert");
    form.querySelector(".number").after(place);
    field.setAttribute("aria-invalid", "true");
    field.setAttribute("aria-describedby", id);
  } else {
    field.removeAttribute("aria-invalid");
    field.removeAttribute("aria-describedby");
  }
}

document.addEventListener("submit", (event) => {
  const form = event.target;
  if (!form.matches("form[data-enter]")) return;
  event.preventDefault();
  const now = Date.now();
  if (now - Number(form.dataset.tapped || 0) < BOUNCE) return;
  form.dataset.tapped = String(now);
  const { key: _key, back, page: _page, ...fields } = Object.fromEntries(new FormData(form, event.submitter));
  let says = form.dataset.says || fields.note || "";
  if (form.hasAttribute("data-test")) {
    const wrong = mistake(form);
    showMistake(form, wrong);
    if (wrong) return;
    const unit = Number.isNaN(asNumber(fields.value)) ? "" : form.dataset.unit; // else it was typed with one
    says = `${form.dataset.says} ${fields.value} ${unit}`.trim();
    if (unit) fields.value = `${fields.value} ${unit}`;
  }
  if (form.hasAttribute("data-test")) delete form.elements.value.dataset.dirty;
  const item = queue.add({ ...fields, key: newKey(), says });
  if (fields.kind === "undo") byId("done")?.remove();
  else keepRecent([...recent(), { key: item.key, tank: item.tank, road: item.road, point: item.point, says, until: now + UNDO_FOR }]);
  navigator.vibrate?.(40);
  say(`${item.tank}: ${says}`);
  if (form.elements.note) form.reset();
  show();
  onward(item, back);
});

// After a test: to the next one on this page at once; to another page once the server has the entry or the line is cut.
async function onward(item, back) {
  const target = new URL(back || location.href, location.href);
  if (target.pathname === location.pathname) {
    const kind = target.searchParams.get("kind");
    if (kind) open(kind);
    return;
  }
  const end = Date.now() + 2500;
  while (Date.now() < end && queue.state === "fine" && queue.items().some((one) => one.key === item.key)) await new Promise((done) => setTimeout(done, 40));
  go(target.pathname + target.search);
}

function open(kind) {
  for (const section of document.querySelectorAll("[data-kind]")) section.hidden = section.dataset.kind !== kind;
  for (const link of document.querySelectorAll("[data-open]")) {
    if (link.dataset.open === kind) link.setAttribute("aria-current", "true");
    else link.removeAttribute("aria-current");
  }
  history.replaceState(null, "", `${location.pathname}?kind=${encodeURIComponent(kind)}`);
}

function step(form, way) {
  const now = asNumber(sheetValue(form) || form.dataset.usual);
  if (Number.isNaN(now)) return;
  if (form.dataset.by) return setValue(form, stepped(form, now, way));
  const ladder = form.dataset.ladder.split(" ");
  const next = way > 0 ? ladder.find((one) => Number(one) > now + 1e-9) : ladder.findLast((one) => Number(one) < now - 1e-9);
  if (next !== undefined) setValue(form, next);
}

// The next number of an even scale, within what can be.
function stepped(form, now, way) {
  const { by, low, high } = form.dataset;
  const count = way > 0 ? Math.floor(now / by + 1e-6) + 1 : Math.ceil(now / by - 1e-6) - 1;
  const next = Math.min(Math.max(count * by, Number(low)), Number(high));
  return next.toFixed(Math.max(0, -Math.floor(Math.log10(by) + 1e-9)));
}

function setValue(form, text) {
  form.elements.value.value = text;
  form.elements.value.dataset.dirty = "";
  showMistake(form, "");
  mark(form);
  say(`${text} ${form.dataset.unit}`);
}

function mark(form) {
  for (const chip of form.querySelectorAll("[data-chip]")) {
    if (chip.dataset.chip === sheetValue(form)) chip.setAttribute("aria-current", "true");
    else chip.removeAttribute("aria-current");
  }
}

document.addEventListener("input", (event) => {
  const form = event.target.form;
  if (!form?.hasAttribute("data-test")) return;
  event.target.dataset.dirty = ""; // typed and not yet saved: a repaint leaves it
  mark(form);
});

document.addEventListener("click", (event) => {
  const link = event.target.closest("a[href]");
  if (!link || event.defaultPrevented || event.button || event.ctrlKey || event.metaKey || event.shiftKey || event.altKey) return;
  const address = new URL(link.href.baseVal ?? link.href, location.href);
  if (address.origin !== location.origin || (address.hash && address.pathname === location.pathname)) return;
  const { open: kind, step: way, chip } = link.dataset;
  if (kind !== undefined) open(kind);
  else if (way !== undefined) step(link.closest("form"), Number(way));
  else if (chip !== undefined) setValue(link.closest("form"), chip);
  else if (/^\/(t\/|proof\/|due\/walk\/|racks$)/.test(address.pathname)) go(address.pathname + address.search + address.hash);
  else return;
  event.preventDefault();
});
addEventListener("popstate", () => go(location.href, { back: true }));

// --- the line --------------------------------------------------------------------------------------------------------

queue.listen((what, item, answer) => {
  if (what === "kept") {
    settling.push({ ...item, sent: Date.now() });
    if (answer.said) note(answer.said);
    refreshEntries();
  }
  if (what === "refused") {
    keepRecent(recent().filter((one) => one.key !== item.key));
    say(`${item.tank}: ${item.says}`);
    if (document.querySelector("[data-refresh]")) refresh();
  }
  showWaiting();
  showApart();
  showLine();
});

let wait = 500;
let greeted = 0; // the first word of a new page's socket tells it nothing new
function listen() {
  const socket = new WebSocket(`${location.protocol === "https:" ? "wss" : "ws"}://${location.host}/live`);
  socket.addEventListener("message", (event) => {
    wait = 500;
    connected = true;
    queue.flush();
    if (JSON.parse(event.data).number !== number()) refresh();
    else if (greeted++ || performance.now() > 5000) refreshEntries();
  });
  socket.addEventListener("close", () => {
    connected = false;
    setTimeout(listen, wait);
    setTimeout(showLine, 1000);
    wait = Math.min(wait * 1.6, 8000);
  });
}
listen();
queue.flush();
show();
lookAhead();
setInterval(localTimes, 30000);
document.documentElement.dataset.live = "";
