// The page as it stands: repainted in place from what the server draws for the same address, and what is said of it.

import { morph } from "./morph.js";

const announced = document.getElementById("announce");
const parser = new DOMParser();
let newest = 0; // the number of the last answer asked for: an older one that arrives late is dropped

export const number = () => Number(document.body.dataset.number);
export const address = () => location.pathname + location.search;
export const parsed = (html) => parser.parseFromString(html, "text/html");
export const ask = () => ++newest;
export const isNewest = (mine) => mine === newest;

export function repaint(html) {
  const fresh = parsed(html);
  const changed = [];
  const before = number();
  if (!(Number(fresh.body.dataset.number) >= before)) return; // overtaken by a newer answer, or no page of the room's
  document.title = fresh.title;
  morph(document.body, fresh.body, changed);
  if (number() !== before) show(changed);
  document.dispatchEvent(new CustomEvent("repainted"));
}

function show(changed) {
  const told = [];
  for (const [element, before] of changed.slice(0, 40)) {
    const was = document.createElement("s");
    was.className = "was";
    was.textContent = before;
    const now = element.textContent.trim();
    element.prepend(was, document.createTextNode(" "));
    element.classList.add("changed");
    setTimeout(() => {
      if (!was.isConnected) return;
      was.nextSibling.remove();
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
  const mine = ask();
  try {
    const answer = await fetch(location.href, { headers: { accept: "text/html" } });
    if (isNewest(mine) && (answer.ok || answer.status === 404)) repaint(await answer.text());
  } catch {
    /* the socket will tell when the server is back */
  }
}

// Something that no place of this page can tell: it stands over the page until it is read.
export function notice(text, link) {
  const line = document.createElement("p");
  line.className = "banner problem";
  line.dataset.keep = "";
  line.setAttribute("role", "alert");
  line.textContent = text;
  if (link) {
    const way = document.createElement("a");
    way.href = link;
    way.textContent = link;
    line.append(" ", way);
  }
  document.getElementById("main").before(line);
  setTimeout(() => line.remove(), 60000);
}
