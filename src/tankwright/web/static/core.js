// What makes a page live: forms are sent at once, answers repaint the page in place, changes made elsewhere arrive by the socket.
// Nothing here knows what a page shows; without this file every form and link still works.

import { notice, number, refresh, repaint, say } from "./page.js";
import { again, flush, hear, send } from "./saving.js";

export { notice, number, refresh, repaint, say, send };

// --- links of the same page repaint in place; Back works as the address says ----------------------------------------

document.addEventListener("click", async (event) => {
  const link = event.target.closest("a[href]");
  if (!link || event.defaultPrevented || event.button || event.ctrlKey || event.metaKey || event.shiftKey || event.altKey) return;
  const address = new URL(link.href.baseVal ?? link.href, location.href);
  if (address.origin !== location.origin || address.pathname !== location.pathname || link.target) return;
  if (address.hash && address.search === location.search) return; // a place of this page: the browser goes there
  event.preventDefault();
  const closed = link.matches(".close") ? link.closest("[data-of]")?.dataset.of : "";
  history.pushState(null, "", address);
  await refresh();
  const there = address.hash && document.getElementById(address.hash.slice(1));
  if (there) {
    there.scrollIntoView({ block: "nearest" });
    if (there.hasAttribute("tabindex")) there.focus({ preventScroll: true });
  } else if (closed) document.querySelector(`a[data-figure="${CSS.escape(closed)}"]`)?.focus();
});
addEventListener("popstate", () => {
  flush(); // what was typed on the address one comes from
  refresh();
});

// --- keys -------------------------------------------------------------------------------------------------------

document.addEventListener("keydown", (event) => {
  const typing = event.target.matches("input, textarea, select");
  if (event.key === "/" && !typing && !event.ctrlKey && !event.metaKey && !event.altKey) {
    const find = document.getElementById("find");
    if (find) {
      event.preventDefault();
      find.focus();
      find.select();
    }
  }
  if ((event.ctrlKey || event.metaKey) && !event.altKey && ["z", "y", "Z"].includes(event.key) && !(typing && event.target.dataset.dirty !== undefined)) {
    const which = event.key === "z" && !event.shiftKey ? "undo" : "redo";
    const button = document.querySelector(`[data-step=${which}]`);
    if (button) event.preventDefault(); // the browser's own would take letters back where the plan has no step left
    if (button && !button.disabled) button.form.requestSubmit(button);
  }
  if (event.key === "Escape" && !typing && !document.querySelector("[data-held]")) document.querySelector(".working .close")?.click();
});

// --- findings light their places ----------------------------------------------------------------------------------

function light(event, on) {
  const finding = event.target.closest?.("[data-places]");
  if (!finding) return;
  for (const place of finding.dataset.places.split("|").filter(Boolean)) {
    for (const shape of document.querySelectorAll(`.drawing [data-place="${CSS.escape(place)}"]`)) shape.classList.toggle("lit", on);
  }
}
for (const name of ["mouseover", "focusin"]) document.addEventListener(name, (event) => light(event, true));
for (const name of ["mouseout", "focusout"]) document.addEventListener(name, (event) => light(event, false));

// --- the socket -------------------------------------------------------------------------------------------------

let pause = 500;
function listen() {
  const socket = new WebSocket(`${location.protocol === "https:" ? "wss" : "ws"}://${location.host}/live`);
  socket.addEventListener("message", (event) => {
    pause = 500;
    again();
    hear(JSON.parse(event.data).number);
  });
  socket.addEventListener("close", () => {
    setTimeout(listen, pause);
    pause = Math.min(pause * 1.6, 8000);
  });
}
if (document.getElementById("saved")) listen();

// --- local time -------------------------------------------------------------------------------------------------

const spoken = document.documentElement.lang || "en";
const language = navigator.languages.find((one) => one.split("-")[0] === spoken) || spoken; // en-GB writes 14:30
const wall = (date) => date.toLocaleString("en", { dateStyle: "short", timeStyle: "short" });

// The clock shows some times twice, when it is put back: those are told with their zone.
const isTwice = (date) => [-60, -30, 30, 60].some((minutes) => wall(new Date(date.getTime() + minutes * 60000)) === wall(date));

function localTimes() {
  for (const time of document.querySelectorAll("time[data-local]")) {
    const date = new Date(time.dateTime);
    const zone = isTwice(date) ? { timeZoneName: "short" } : {};
    const how = { day: "numeric", month: "short", year: "numeric", hour: "2-digit", minute: "2-digit", ...zone };
    const text = date.toLocaleString(language, how);
    if (time.textContent !== text) time.textContent = text;
  }
}
document.addEventListener("repainted", localTimes);
localTimes();

// --- what needs looking at again while it runs ----------------------------------------------------------------------

setInterval(() => {
  if (document.querySelector("[data-running]") && !document.hidden) refresh();
}, 700);

again();
document.documentElement.dataset.live = "";
