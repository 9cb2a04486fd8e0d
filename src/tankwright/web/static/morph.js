// Make one piece of a page like another, leaving alone what is under somebody's finger, and telling which figures changed.

const SIGN = /\d/;
const OURS = new Set(["data-dirty", "data-sent", "data-key", "data-refused", "data-keep"]); // what the scripts of the page noted on it

const GUARDED = new Set(["value", "class", "data-shown"]); // of a field somebody types in: what was there when the typing began

export function morph(old, fresh, changed) {
  if (old.nodeType !== fresh.nodeType || old.nodeName !== fresh.nodeName || (old.id || "") !== (fresh.id || "")) {
    old.replaceWith(fresh);
    return;
  }
  if (old.nodeType !== Node.ELEMENT_NODE) {
    if (old.nodeValue !== fresh.nodeValue) old.nodeValue = fresh.nodeValue;
    return;
  }
  if (["data-keep", "data-held", "data-refused"].some((name) => old.hasAttribute(name)) && !isField(old)) return;
  const figure = old.dataset ? old.dataset.figure : undefined;
  const before = figure && figure === fresh.dataset.figure ? plain(old) : null;
  const after = before === null ? "" : fresh.textContent.trim(); // its pieces may be taken over into the page
  attributes(old, fresh);
  if (isField(old)) return;
  children(old, fresh, changed);
  if (before !== null && before !== after && SIGN.test(before)) changed.push([old, before]);
}

// The text of a figure without an old value still shown beside it.
function plain(element) {
  const was = element.querySelector(":scope > .was");
  if (was) {
    was.nextSibling?.remove(); // the space between the two
    was.remove();
  }
  element.classList.remove("changed");
  return element.textContent.trim();
}

function isField(element) {
  return element.nodeName === "INPUT" || element.nodeName === "TEXTAREA" || element.nodeName === "SELECT";
}

// What is typed and not yet confirmed is left alone. A field that only has the focus follows the plan, or who types
// next would put an old value over a newer one they never saw.
const isBusy = (field) =>
  field.dataset.dirty !== undefined || field.dataset.sent !== undefined || (document.activeElement === field && !field.form?.matches("[data-edit]"));

function attributes(old, fresh) {
  const busy = isField(old) && isBusy(old);
  for (const { name, value } of [...fresh.attributes]) {
    if (busy && GUARDED.has(name)) continue;
    if (old.getAttribute(name) !== value) old.setAttribute(name, value);
  }
  for (const { name } of [...old.attributes]) {
    if (fresh.hasAttribute(name) || OURS.has(name) || (busy && name === "class")) continue;
    if (name === "open" && old.nodeName === "DETAILS") continue;
    old.removeAttribute(name);
  }
  if (busy || !isField(old)) return;
  if (old.nodeName === "SELECT") {
    if (old.innerHTML !== fresh.innerHTML) old.replaceChildren(...fresh.childNodes);
    old.value = fresh.value;
  } else if (old.type === "checkbox" || old.type === "radio") old.checked = fresh.checked;
  else if (old.type !== "file" && old.value !== fresh.value) write(old, fresh.value);
}

// A new value in a field; the caret stays at the letters it stood at.
function write(field, value) {
  const before = field.value;
  const caret = document.activeElement === field && field.selectionStart !== null ? [field.selectionStart, field.selectionEnd] : null;
  field.value = value;
  if (!caret) return;
  let same = 0;
  while (same < before.length && before[same] === value[same]) same += 1;
  const moved = (at) => (at <= same ? at : Math.max(same, at + value.length - before.length));
  field.setSelectionRange(moved(caret[0]), moved(caret[1]));
}

const isKept = (node) => node.nodeType === Node.ELEMENT_NODE && node.hasAttribute("data-keep");

function children(old, fresh, changed) {
  const named = new Map();
  for (const child of old.children) if (child.id) named.set(child.id, child);
  let here = old.firstChild;
  for (let next = fresh.firstChild; next;) {
    const after = next.nextSibling;
    while (here && isKept(here) && !here.id) here = here.nextSibling;
    const same = next.id ? named.get(next.id) : null;
    if (same) {
      if (same !== here) old.insertBefore(same, here);
      else here = here.nextSibling;
      named.delete(next.id);
      morph(same, next, changed);
    } else if (here && !(here.id && named.has(here.id)) && here.nodeType === next.nodeType && here.nodeName === next.nodeName && !next.id) {
      const mine = here;
      here = here.nextSibling;
      morph(mine, next, changed);
    } else old.insertBefore(next, here);
    next = after;
  }
  while (here) {
    const gone = here;
    here = here.nextSibling;
    if (!isKept(gone)) gone.remove();
  }
}
