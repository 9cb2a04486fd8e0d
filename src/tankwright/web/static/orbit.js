// Walk round the room: drag the drawing, or press the arrow keys. The server draws each angle; one is asked for at a
// time, the newest wins, and the address holds where one stands.

import { refresh, say } from "./core.js";

const PER_DOT = 0.4; // degrees a dot of dragging turns
const KEY = 5; // degrees a press of an arrow key turns; three times that with Shift
const SLIP = 4; // dots the hand may move before a press becomes a drag
const parser = new DOMParser();

const figure = () => document.getElementById("aslant");
let aim = null; // where one looks from, while it is being turned
let shown = ""; // the newest angle on the page
let busy = false;
let held = null;
let rest = 0;

const standing = () => ({ from: Number(figure().dataset.from), height: Number(figure().dataset.height) });
const named = ({ from, height }) => `${from}-${height}`;

function address({ from, height }) {
  const here = new URL(location.href);
  here.searchParams.set("from", from);
  here.searchParams.set("height", height);
  here.hash = "";
  return here;
}

function turn(from, height) {
  const { least, most } = figure().dataset;
  aim = {
    from: ((Math.round(from) % 360) + 360) % 360,
    height: Math.min(Math.max(Math.round(height), Number(least)), Number(most)),
  };
  show();
}

async function show() {
  if (busy) return;
  busy = true;
  try {
    while (aim && named(aim) !== shown) {
      const wanted = aim;
      const answer = await fetch(address(wanted), { headers: { accept: "text/html" } });
      if (!answer.ok) break;
      put(wanted, parser.parseFromString(await answer.text(), "text/html"));
    }
  } catch {
    say("No connection: the room cannot be turned now.");
  } finally {
    busy = false;
  }
  if (!held) settle();
}

// The drawing is exchanged as a whole; who stood on a tank with the keyboard still stands on it.
function put(wanted, fresh) {
  const now = fresh.querySelector("#aslant .seen");
  const old = figure()?.querySelector(".seen");
  if (!now || !old) return;
  const place = old.contains(document.activeElement) ? document.activeElement.dataset.place : null;
  old.replaceWith(document.adoptNode(now));
  if (place) now.querySelector(`a[data-place="${CSS.escape(place)}"]`)?.focus({ preventScroll: true });
  Object.assign(figure().dataset, wanted);
  document.getElementById("aim").textContent = fresh.getElementById("aim").textContent;
  shown = named(wanted);
  history.replaceState(history.state, "", address(wanted));
}

// Once it rests, the links of the page follow, and it is said once where one stands.
function settle() {
  clearTimeout(rest);
  rest = setTimeout(async () => {
    if (held || busy || !aim) return;
    aim = null;
    await refresh();
    say(document.getElementById("aim").textContent);
  }, 250);
}

// --- pointer --------------------------------------------------------------------------------------------------------

document.addEventListener("pointerdown", (event) => {
  const over = event.target.closest?.("#aslant");
  if (!over || event.button || held) return;
  shown = named(standing());
  held = { id: event.pointerId, x: event.clientX, y: event.clientY, ...standing(), moved: false };
});

document.addEventListener("pointermove", (event) => {
  if (!held || held.id !== event.pointerId) return;
  const [dx, dy] = [event.clientX - held.x, event.clientY - held.y];
  if (!held.moved) {
    if (Math.hypot(dx, dy) < SLIP) return;
    held.moved = true;
    figure().dataset.held = "";
    figure().setPointerCapture(event.pointerId);
  }
  turn(held.from + dx * PER_DOT, held.height + dy * PER_DOT);
});

function swallow(click) {
  if (!click.target.closest?.("#aslant")) return;
  click.preventDefault();
  click.stopPropagation();
}

function leave(event) {
  if (!held || held.id !== event.pointerId) return;
  const { moved } = held;
  held = null;
  if (!moved) return;
  delete figure().dataset.held;
  addEventListener("click", swallow, true); // letting go over a tank does not choose it
  setTimeout(() => removeEventListener("click", swallow, true), 50);
  if (!busy) settle();
}
document.addEventListener("pointerup", leave);
document.addEventListener("pointercancel", leave);
document.addEventListener("dragstart", (event) => event.target.closest?.("#aslant") && event.preventDefault());

// --- keys -----------------------------------------------------------------------------------------------------------

const ARROWS = { ArrowLeft: [1, 0], ArrowRight: [-1, 0], ArrowUp: [0, 1], ArrowDown: [0, -1] };

document.addEventListener("keydown", (event) => {
  const arrow = ARROWS[event.key];
  if (!arrow || event.ctrlKey || event.metaKey || event.altKey || !event.target.closest?.("#aslant")) return;
  event.preventDefault();
  const many = KEY * (event.shiftKey ? 3 : 1);
  if (!aim) shown = named(standing());
  const now = aim || standing();
  turn(now.from + arrow[0] * many, now.height + arrow[1] * many);
});
