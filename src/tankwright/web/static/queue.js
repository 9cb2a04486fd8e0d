// Entries on their way: kept in this browser until the server has confirmed each, in the order they were made.
// Every entry is a record of its own in localStorage, so two tabs never write over each other's; one of them at a time
// sends, by a lease that runs out by itself. The key of an entry makes a second sending harmless.

const ROADS = { build: "/build/mark", reading: "/reading", due: "/due/done" }; // where what is no entry of a tank goes; all else is entered
const WAITING = "tankwright.entry.";
const APART = "tankwright.apart.";
const LEASE = "tankwright.entries.lease";
const PATIENCE = 12000; // ms until a line that says nothing counts as cut
const HOLD = PATIENCE + 5000; // ms a tab may send before another takes over
const ME = newKey();
const listeners = [];
const memory = new Map(); // what this browser would not keep
let state = "fine"; // or "cut", "login", "busy"
let busy = false;
let timer = 0;
let pause = 1000;

export function newKey() {
  const bytes = crypto.getRandomValues(new Uint8Array(12)); // randomUUID does not exist on plain http
  return [...bytes].map((byte) => byte.toString(16).padStart(2, "0")).join("");
}

function get(name) {
  try {
    return localStorage.getItem(name);
  } catch {
    return null;
  }
}

function put(name, text) {
  try {
    localStorage.setItem(name, text);
    memory.delete(name);
  } catch {
    memory.set(name, text);
  }
}

function drop(name) {
  memory.delete(name);
  try {
    localStorage.removeItem(name);
  } catch {
    /* it was never there */
  }
}

function records(prefix) {
  let names = [...memory.keys()];
  try {
    names = [...new Set([...names, ...Object.keys(localStorage)])];
  } catch {
    /* no storage at all */
  }
  return names.filter((name) => name.startsWith(prefix)).sort().flatMap((name) => {
    try {
      return [{ ...JSON.parse(memory.get(name) ?? get(name)), name }];
    } catch {
      return [];
    }
  });
}

const book = () => document.body.dataset.book;
const here = () => records(WAITING).filter((item) => item.book === book());

function tell(what, item, answer) {
  for (const listener of listeners) listener(what, item, answer);
}

// --- one tab at a time -------------------------------------------------------------------------------------------

function hold() {
  const [owner, until] = (get(LEASE) || "").split(" ");
  const now = Date.now();
  if (owner && owner !== ME && Number(until) > now && Number(until) <= now + HOLD) return false;
  put(LEASE, `${ME} ${now + HOLD}`);
  return true;
}

const mine = () => (get(LEASE) ?? memory.get(LEASE) ?? "").startsWith(ME);
const moment = (time) => new Promise((done) => setTimeout(done, time));

async function take() {
  if (!hold()) return false;
  await moment(20 + Math.random() * 40); // another may have taken it in the same instant; the later one has it
  return mine();
}

function release() {
  if (mine()) drop(LEASE);
}
addEventListener("pagehide", release);

// --- sending -----------------------------------------------------------------------------------------------------

async function deliver(item) {
  const { name, book: _book, says: _says, refused: _refused, road, ...fields } = item;
  let answer, told;
  try {
    answer = await fetch(ROADS[road] ?? "/enter", { method: "POST", body: new URLSearchParams(fields), headers: { accept: "application/json" }, redirect: "manual", signal: AbortSignal.timeout(PATIENCE) });
    if (answer.type === "opaqueredirect" || answer.status === 401) return "login";
    told = await answer.json();
  } catch {
    return "cut";
  }
  if (answer.ok) {
    drop(name);
    tell("kept", item, told);
    return "fine";
  }
  if (answer.status !== 422 && answer.status !== 403) return "busy"; // full, held, stopping: later
  setAside(item, told.wanted ? `${told.text}. ${document.body.dataset.saidWanted}: ${told.wanted}` : told.text);
  return "fine";
}

function setAside(item, refused) {
  const { name, ...rest } = item;
  put(name.replace(WAITING, APART), JSON.stringify({ ...rest, refused }));
  drop(name);
  tell("refused", item);
}

async function flush() {
  clearTimeout(timer);
  if (busy) return;
  const first = here()[0];
  if (!first) return;
  busy = true;
  try {
    if (!(await take())) {
      timer = setTimeout(flush, 700); // another tab sends them
      return;
    }
    for (let item = here()[0]; item && hold(); item = here()[0]) {
      const before = state;
      state = await deliver(item);
      if (state !== before) tell("state");
      if (state !== "fine") {
        timer = setTimeout(flush, pause);
        pause = Math.min(pause * 1.5, 8000);
        return;
      }
      pause = 1000;
    }
  } finally {
    release();
    busy = false;
    tell("state");
  }
  if (here().length) flush(); // one that was made while the last was on its way
}

function soon() {
  pause = 1000;
  flush();
}
addEventListener("online", soon);
addEventListener("pageshow", soon);
document.addEventListener("visibilitychange", () => document.hidden || soon());
addEventListener("storage", (event) => {
  if (event.key === null || event.key.startsWith(WAITING) || event.key.startsWith(APART)) tell("state");
});
addEventListener("beforeunload", (event) => {
  if ([...memory.keys()].some((name) => name.startsWith(WAITING))) event.preventDefault();
});

export const queue = {
  // `says` is what a person reads of it; all else is what the server gets.
  add(item) {
    const last = Number(records(WAITING).at(-1)?.name.slice(WAITING.length).split(".")[0] || 0);
    const order = String(Math.max(Date.now(), last + 1)).padStart(16, "0");
    const made = { key: newKey(), happened: new Date().toISOString(), ...item, book: book() };
    put(`${WAITING}${order}.${made.key}`, JSON.stringify(made));
    tell("state");
    flush();
    return made;
  },
  items: here,
  apart: () => [...records(APART), ...records(WAITING).filter((item) => item.book !== book()).map((item) => ({ ...item, refused: document.body.dataset.saidElsewhere }))],
  again(item) {
    const { name, refused: _refused, ...rest } = item;
    drop(name);
    put(name.replace(APART, WAITING), JSON.stringify({ ...rest, book: book() }));
    tell("state");
    flush();
  },
  drop(item) {
    drop(item.name);
    tell("state");
  },
  flush: soon,
  listen: (listener) => listeners.push(listener),
  get state() {
    return state;
  },
  get unkept() {
    return [...memory.keys()].some((name) => name.startsWith(WAITING));
  },
};
