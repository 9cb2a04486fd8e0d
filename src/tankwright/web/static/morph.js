// Make one piece of a page like another, leaving alone what is under somebody's finger, and telling which figures changed.

const SIGN = /\d/;

export function morph(old, fresh, changed) {
  if (old.nodeType !== fresh.nodeType || old.nodeName !== fresh.nodeName || (old.id || "") !== (fresh.id || "")) {
    old.replaceWith(fresh);
    return;
  }
  if (old.nodeType !== Node.ELEMENT_NODE) {
    if (old.nodeValue !== fresh.nodeValue) old.nodeValue = fresh.nodeValue;
    return;
  }
  if (old.hasAttribute("data-keep") || old.hasAttribute("data-held")) return;
  const figure = old.dataset ? old.dataset.figure : undefined;
  const before = figure && figure === fresh.dataset.figure ? plain(old) : null;
  attributes(old, fresh);
  if (isField(old)) return;
  children(old, fresh, changed);
  if (before !== null && before !== fresh.textContent.trim() && SIGN.test(before)) changed.push([old, before]);
}

// The text of a figure without an old value still shown beside it.
function plain(element) {
  const was = element.querySelector(":scope > .was");
  if (was) was.remove();
  element.classList.remove("changed");
  return element.textContent.trim();
}

function isField(element) {
  return element.nodeName === "INPUT" || element.nodeName === "TEXTAREA" || element.nodeName === "SELECT";
}

function attributes(old, fresh) {
  const busy = isField(old) && (document.activeElement === old || old.dataset.dirty !== undefined);
  for (const { name, value } of [...fresh.attributes]) {
    if (busy && (name === "value" || name === "class")) continue;
    if (old.getAttribute(name) !== value) old.setAttribute(name, value);
  }
  for (const { name } of [...old.attributes]) {
    if (fresh.hasAttribute(name) || name === "data-dirty" || (busy && name === "class")) continue;
    if (name === "open" && old.nodeName === "DETAILS") continue;
    old.removeAttribute(name);
  }
  if (busy || !isField(old)) return;
  if (old.nodeName === "SELECT") {
    if (old.innerHTML !== fresh.innerHTML) old.replaceChildren(...fresh.childNodes);
    old.value = fresh.value;
  } else if (old.type === "checkbox" || old.type === "radio") old.checked = fresh.checked;
  else if (old.value !== fresh.value) old.value = fresh.value;
}

function children(old, fresh, changed) {
  const named = new Map();
  for (const child of old.children) if (child.id) named.set(child.id, child);
  let here = old.firstChild;
  for (let next = fresh.firstChild; next;) {
    const after = next.nextSibling;
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
    if (!(gone.nodeType === Node.ELEMENT_NODE && gone.hasAttribute("data-keep"))) gone.remove();
  }
}
