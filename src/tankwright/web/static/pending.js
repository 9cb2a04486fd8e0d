// Edits on their way: kept in the browser until the server has confirmed them, so that neither a dropped line nor a
// closed page loses one. Each has its key, so that the server stores it once however often it is sent. The page that
// sends an edit holds it meanwhile; what a page leaves behind is taken up by the next one.

const PLACE = `tankwright.pending.${document.body.dataset.book}`; // another plan may be served under this address later
const HOLD = 20000; // ms a page may be silent before another takes its edits over

export function newKey() {
  const bytes = crypto.getRandomValues(new Uint8Array(12)); // randomUUID does not exist on plain http
  return [...bytes].map((byte) => byte.toString(16).padStart(2, "0")).join("");
}

const ME = newKey();
let timer = 0;
let gone = false; // the page is being left: whatever it still notes is for the next one

function read() {
  try {
    return JSON.parse(localStorage.getItem(PLACE)) || [];
  } catch {
    return [];
  }
}

function write(records) {
  try {
    localStorage.setItem(PLACE, JSON.stringify(records));
  } catch {
    /* no storage: the edit is still on the page and is sent from there */
  }
}

// A record is { fields, shown, owner, until }.
const free = (record) => record.owner === ME || !(record.until > Date.now() && record.until <= Date.now() + HOLD);

function hold(fields, shown) {
  const record = { fields, shown, owner: ME, until: gone ? 0 : Date.now() + HOLD };
  const all = read();
  const place = all.findIndex((one) => one.fields.key === fields.key);
  all.splice(place < 0 ? all.length : place, 1, record);
  write(all);
}

export const pending = {
  hold,
  mine: () => read().filter(free),
  some: () => read().length > 0,
  remove: (key) => write(read().filter((one) => one.fields.key !== key)),
  release: (key) => write(read().map((one) => (one.owner === ME && (!key || one.fields.key === key) ? { ...one, until: 0 } : one))),
  later(work, wait = 1500) {
    clearTimeout(timer);
    timer = setTimeout(work, wait);
  },
};
addEventListener("pagehide", () => {
  gone = true;
  pending.release();
});
addEventListener("pageshow", () => (gone = false));
