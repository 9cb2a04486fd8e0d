// Edits on their way: kept in the browser until the server has confirmed them, so that neither a dropped line nor a
// closed page loses one. Each has its key, so that the server stores it once however often it is sent.

const PLACE = "tankwright.pending";
let timer = 0;

function read() {
  try {
    return JSON.parse(localStorage.getItem(PLACE)) || [];
  } catch {
    return [];
  }
}

function write(edits) {
  try {
    localStorage.setItem(PLACE, JSON.stringify(edits));
  } catch {
    /* no storage: the edit is still on the page and is sent from there */
  }
}

export const pending = {
  all: read,
  size: () => read().length,
  add: (edit) => write([...read().filter((one) => one.key !== edit.key), edit]),
  remove: (key) => write(read().filter((one) => one.key !== key)),
  later(work) {
    clearTimeout(timer);
    timer = setTimeout(work, 1500);
  },
};
addEventListener("online", () => clearTimeout(timer));
