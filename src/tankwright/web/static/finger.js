// How many dots of this screen a millimetre has, by the outline of a bank card; kept in this browser.

const MM = "tankwright.mm";
const place = document.getElementById("measure");
const slide = document.getElementById("slide");
const { long, short, button } = place.dataset;

function kept() {
  try {
    return Number(localStorage.getItem(MM)) || 0;
  } catch {
    return 0;
  }
}

function draw() {
  const mm = Number(slide.value) / long;
  const card = document.getElementById("card");
  card.style.width = `${mm * short}px`;
  card.style.height = `${mm * long}px`;
  const now = parseFloat(getComputedStyle(document.getElementById("keep")).height);
  document.getElementById("size").textContent = place.dataset.said.replace("#", (now / mm).toFixed(0));
}

function say(text) {
  document.getElementById("kept").textContent = text;
}

function use(mm) {
  if (mm) document.documentElement.style.setProperty("--finger", `${Math.round(mm * button)}px`);
  else document.documentElement.style.removeProperty("--finger");
  draw();
}

slide.addEventListener("input", draw);
for (const step of place.querySelectorAll("[data-by]")) {
  step.addEventListener("click", () => {
    slide.value = Number(slide.value) + 2 * Number(step.dataset.by);
    draw();
  });
}
document.getElementById("keep").addEventListener("click", () => {
  const mm = Number(slide.value) / long;
  use(mm);
  try {
    localStorage.setItem(MM, String(mm));
    say(place.dataset.saidKept);
  } catch {
    say(place.dataset.saidUnkept);
  }
});
document.getElementById("forget").addEventListener("click", () => {
  try {
    localStorage.removeItem(MM);
  } catch {
    /* it was never there */
  }
  use(0);
  say(place.dataset.saidForgotten);
});
const shares = document.getElementById("shares");
try {
  shares.checked = localStorage.getItem("tankwright.shares") === "yes";
} catch {
  shares.disabled = true;
}
shares.addEventListener("change", () => {
  try {
    localStorage.setItem("tankwright.shares", shares.checked ? "yes" : "no");
    say(place.dataset.saidKept);
  } catch {
    say(place.dataset.saidUnkept);
  }
});
if (kept()) slide.value = kept() * long;
draw();
