// Ask a chart: the value nearest the pointer, or with the arrow keys one value after the other, is read out beside it.
// Left and right go along a line, up and down to the other lines, Escape leaves.

const NEAR = 40; // dots from a value within which the pointer means it
let asked = null; // { region, line, at }

const regionOf = (target) => target.closest?.(".chart .scroll, .chart [data-chart]");
const points = (region) => [...region.querySelectorAll(".point")];
const lineOf = (point) => point.dataset.line || "0";
const middle = (point) => {
  const box = (point.querySelector("circle, rect") || point).getBoundingClientRect();
  return [box.x + box.width / 2, box.y + box.height / 2];
};
const words = (point) => point.querySelector("title")?.textContent || point.getAttribute("aria-label") || "";

function readout(region) {
  const figure = region.closest(".chart");
  let said = figure.querySelector(":scope > .readout");
  if (!said) {
    said = document.createElement("p");
    said.className = "readout";
    said.setAttribute("role", "status");
    said.dataset.keep = "";
    figure.append(said);
  }
  return said;
}

function ask(region, point) {
  if (asked && asked.region !== region) forget();
  for (const old of region.querySelectorAll(".point.asked")) if (old !== point) old.classList.remove("asked");
  point.classList.add("asked");
  asked = { region, line: lineOf(point), at: point.dataset.at };
  const said = readout(region);
  if (said.textContent !== words(point)) said.textContent = words(point);
  const figure = said.parentElement.getBoundingClientRect();
  const [x, y] = middle(point);
  const left = Math.min(Math.max(x - figure.x - said.offsetWidth / 2, 0), Math.max(figure.width - said.offsetWidth, 0));
  const over = y - figure.y - said.offsetHeight - 10;
  said.style.setProperty("left", `${left}px`);
  said.style.setProperty("top", `${over > 0 ? over : y - figure.y + 14}px`);
  said.dataset.shown = "";
}

function forget() {
  if (!asked) return;
  for (const old of asked.region.querySelectorAll(".point.asked")) old.classList.remove("asked");
  const said = readout(asked.region);
  delete said.dataset.shown;
  said.textContent = "";
  asked = null;
}

document.addEventListener("pointermove", (event) => {
  const region = regionOf(event.target);
  if (!region) {
    if (asked && !asked.region.contains(document.activeElement)) forget();
    return;
  }
  let best = null;
  let least = NEAR;
  for (const point of points(region)) {
    const [x, y] = middle(point);
    const far = Math.hypot(x - event.clientX, y - event.clientY);
    if (far < least) [best, least] = [point, far];
  }
  if (best) ask(region, best);
  else if (!region.contains(document.activeElement)) forget();
});

document.addEventListener("keydown", (event) => {
  if (event.ctrlKey || event.metaKey || event.altKey) return;
  const region = regionOf(event.target);
  const all = region ? points(region) : [];
  if (!all.length) return;
  if (event.key === "Escape") return forget();
  if (!["ArrowLeft", "ArrowRight", "ArrowUp", "ArrowDown", "Home", "End"].includes(event.key)) return;
  event.preventDefault();
  const now = asked?.region === region ? all.find((one) => lineOf(one) === asked.line && one.dataset.at === asked.at) : null;
  const next = now ? step(all, now, event.key) : all[0];
  if (next) ask(region, next);
});

function step(all, now, key) {
  const [x] = middle(now);
  if (key === "ArrowUp" || key === "ArrowDown") {
    const lines = [...new Set(all.map(lineOf))];
    const other = lines[(lines.indexOf(lineOf(now)) + (key === "ArrowDown" ? 1 : lines.length - 1)) % lines.length];
    const there = all.filter((one) => lineOf(one) === other);
    return there.reduce((best, one) => (Math.abs(middle(one)[0] - x) < Math.abs(middle(best)[0] - x) ? one : best));
  }
  const line = all.filter((one) => lineOf(one) === lineOf(now)).sort((a, b) => middle(a)[0] - middle(b)[0]);
  if (key === "Home") return line[0];
  if (key === "End") return line.at(-1);
  return line[line.indexOf(now) + (key === "ArrowRight" ? 1 : -1)];
}

document.addEventListener("focusout", (event) => {
  if (asked && regionOf(event.target) === asked.region) forget();
});
document.addEventListener("repainted", () => {
  if (!asked) return;
  const { region, line, at } = asked;
  const same = region.isConnected ? points(region).find((one) => lineOf(one) === line && one.dataset.at === at) : null;
  same ? ask(region, same) : (asked = null);
});
