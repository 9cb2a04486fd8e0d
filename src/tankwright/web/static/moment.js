// The time slider of a fault: the room at the moment it is pushed to, drawn by the server, put in place of the one
// shown; the lines of the story that are past by then stand out.

const slider = document.getElementById("t");
let waiting = null; // the moment asked for next, while an answer is on its way
let busy = false;

function address(moment) {
  const there = new URL(location.href);
  there.searchParams.set("t", moment);
  there.hash = "";
  return there;
}

function lines(moment) {
  let now = null;
  for (const line of document.querySelectorAll("#lines [data-t]")) {
    const past = Number(line.dataset.t) <= Number(moment) + 1;
    line.classList.toggle("later", !past);
    line.classList.remove("now");
    if (past) now = line;
  }
  if (now) now.classList.add("now");
  for (const stop of document.querySelectorAll(".stops [data-t]")) {
    if (Math.abs(Number(stop.dataset.t) - Number(moment)) < 1) stop.setAttribute("aria-current", "true");
    else stop.removeAttribute("aria-current");
  }
}

async function show() {
  if (busy) return;
  busy = true;
  while (waiting !== null) {
    const moment = waiting;
    waiting = null;
    try {
      const asked = address(moment);
      asked.searchParams.set("only", "room");
      const answer = await fetch(asked, { headers: { accept: "text/html" } });
      if (!answer.ok) break;
      const page = new DOMParser().parseFromString(await answer.text(), "text/html");
      for (const id of ["moment", "since"]) {
        const now = document.getElementById(id);
        const then = page.getElementById(id);
        if (!now || !then) continue;
        const pans = [...now.querySelectorAll(".scroll")].map((one) => [one.scrollLeft, one.scrollTop]);
        const fresh = document.importNode(then, true);
        now.replaceWith(fresh); // a drawing one has pushed aside stays where it is
        fresh.querySelectorAll(".scroll").forEach((one, at) => pans[at] && one.scrollTo(...pans[at]));
      }
      lines(moment);
      history.replaceState(history.state, "", address(moment));
    } catch {
      break; // the line is cut: what is shown stays
    }
  }
  busy = false;
}

if (slider) {
  slider.addEventListener("input", () => {
    waiting = slider.value;
    show();
  });
}
