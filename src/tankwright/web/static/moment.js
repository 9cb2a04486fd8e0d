// The time slider of a fault: the room at the moment it is pushed to, drawn by the server, put in place of the one shown.

const slider = document.getElementById("t");
let waiting = null; // the address asked for next, while an answer is on its way
let busy = false;

function address() {
  const there = new URL(location.href);
  there.searchParams.set("t", slider.value);
  return there;
}

async function show() {
  if (busy) return;
  busy = true;
  while (waiting) {
    const asked = waiting;
    waiting = null;
    try {
      const answer = await fetch(asked, { headers: { accept: "text/html" } });
      if (!answer.ok) break;
      const page = new DOMParser().parseFromString(await answer.text(), "text/html");
      for (const id of ["moment", "since"]) {
        const now = document.getElementById(id);
        const then = page.getElementById(id);
        if (now && then) now.replaceWith(document.importNode(then, true));
      }
      history.replaceState(history.state, "", asked);
    } catch {
      break; // the line is cut: what is shown stays
    }
  }
  busy = false;
}

if (slider) {
  slider.addEventListener("input", () => {
    waiting = address();
    show();
  });
}
