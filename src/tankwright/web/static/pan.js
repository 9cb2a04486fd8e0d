// Where the drawing is wider than its strip, what is chosen is pushed into sight, and one keeps one's place in it.

let shown = "";

function look() {
  const chosen = document.querySelector(".pan .chosen");
  const place = chosen ? new URL(location.href).searchParams.get("at") : "";
  if (place === shown) return;
  shown = place;
  for (const strip of document.querySelectorAll(".pan")) {
    const thing = strip.querySelector(".tank.chosen, .name.chosen, .chosen");
    if (!thing || strip.scrollWidth <= strip.clientWidth) continue;
    const [box, frame] = [thing.getBoundingClientRect(), strip.getBoundingClientRect()];
    strip.scrollLeft += box.x + box.width / 2 - frame.x - frame.width / 2;
  }
}

document.addEventListener("repainted", look);
look();
