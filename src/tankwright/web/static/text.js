// The plan as text: saved a moment after the typing stops; a mistake's link goes to its line.

const WAIT = 1200; // ms without a key before what was typed is saved as one edit
let timer = 0;

const area = () => document.getElementById("text");

function fit() {
  const lines = area().value.split("\n").length;
  const numbers = document.getElementById("numbers");
  area().rows = lines + 1;
  while (numbers.children.length < lines) {
    const item = document.createElement("li");
    item.id = `line-${numbers.children.length + 1}`;
    item.textContent = String(numbers.children.length + 1);
    numbers.append(item);
  }
  while (numbers.children.length > lines) numbers.lastElementChild.remove();
}

function choose(line) {
  const lines = area().value.split("\n");
  const start = lines.slice(0, line - 1).join("\n").length + (line > 1 ? 1 : 0);
  area().focus({ preventScroll: true });
  area().setSelectionRange(start, start + (lines[line - 1] || "").length);
  document.getElementById(`line-${line}`)?.scrollIntoView({ block: "center" });
}

document.addEventListener("input", (event) => {
  if (event.target !== area()) return;
  fit();
  clearTimeout(timer);
  timer = setTimeout(() => area().form.requestSubmit(), WAIT);
});

document.addEventListener("keydown", (event) => {
  if ((event.ctrlKey || event.metaKey) && event.key === "s" && event.target === area()) {
    event.preventDefault();
    clearTimeout(timer);
    area().form.requestSubmit();
  }
});

document.addEventListener("click", (event) => {
  const link = event.target.closest("a[data-line]");
  if (!link) return;
  event.preventDefault();
  history.replaceState(null, "", link.hash);
  choose(Number(link.dataset.line));
});

// Leaving with something typed and not yet sent: send it now; the core keeps it until it is confirmed.
addEventListener("pagehide", () => area()?.dataset.dirty !== undefined && area().form.requestSubmit());

if (area()?.dataset.line) choose(Number(area().dataset.line));
