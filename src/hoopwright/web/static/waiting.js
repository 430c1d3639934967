// What waits on this phone until the server has it, and the sending of it. Every page loads this:
// a set left in a dead spot is sent from the next page that is opened.
//
// Each entry is a shot with an id made here, or an undo. Entries leave in the order they were made
// and go only when the server says that it has them; the server takes an id once, so that a lost
// answer, a reload or a dead network loses nothing and doubles nothing.

const WAITING = "hoopwright:waiting:";
const REFUSED = "hoopwright:refused:";
const BATCH = 50;
const FIRST_PAUSE = 1500;
const LONGEST_PAUSE = 15000;

let sending = false;
let pause = FIRST_PAUSE;
let timer = 0;

// What the browser refuses to keep (a full or forbidden store) is kept as long as the page is open.
const unkept = new Map();

function read(key) {
  if (unkept.has(key)) return unkept.get(key);
  try {
    const found = JSON.parse(localStorage.getItem(key) ?? "[]");
    return Array.isArray(found) ? found : [];
  } catch {
    return [];
  }
}

function write(key, entries) {
  try {
    if (entries.length) localStorage.setItem(key, JSON.stringify(entries));
    else localStorage.removeItem(key);
    unkept.delete(key);
  } catch {
    unkept.set(key, entries);
  }
}

function keys() {
  try {
    const kept = Array.from({ length: localStorage.length }, (_, i) => localStorage.key(i));
    return [...new Set([...kept, ...unkept.keys()])];
  } catch {
    return [...unkept.keys()];
  }
}

export const waiting = (set) => read(WAITING + set);
export const refused = (set) => read(REFUSED + set);
export const forgive = (set) => write(REFUSED + set, []);

export function add(set, entry) {
  write(WAITING + set, [...waiting(set), entry]);
}

export function setsWaiting() {
  const found = keys().filter((key) => key.startsWith(WAITING) && read(key).length);
  return found.map((key) => key.slice(WAITING.length));
}

export function countWaiting() {
  return setsWaiting().reduce((sum, set) => sum + waiting(set).length, 0);
}

// Take entries off; another tab may have added behind them meanwhile.
function drop(set, entries) {
  const gone = new Set(entries.map((one) => one.key));
  write(WAITING + set, waiting(set).filter((one) => !gone.has(one.key)));
}

function refuse(set, entry, sentence) {
  write(REFUSED + set, [...refused(set), { ...entry, sentence }]);
  drop(set, [entry]);
}

function changed() {
  dispatchEvent(new Event("waiting"));
}

function post(set, what, body) {
  return fetch(`/sets/${set}/${what}`, {
    method: "POST",
    headers: { "Content-Type": "application/json", Accept: "application/json" },
    body: JSON.stringify(body),
    signal: AbortSignal.timeout(10000),
  });
}

// The entries that leave together: a run of shots, or one undo.
function nextBatch(queue, size) {
  if (queue[0].undo) return [queue[0]];
  const end = queue.findIndex((one) => one.undo);
  return queue.slice(0, Math.min(size, end < 0 ? queue.length : end));
}

function send(set, batch) {
  return batch[0].undo
    ? post(set, "undo", { shot: batch[0].undo })
    : post(set, "shots", { shots: batch.map((one) => one.shot) });
}

async function sendSet(set) {
  let size = BATCH;
  for (let queue = waiting(set); queue.length; queue = waiting(set)) {
    const batch = nextBatch(queue, size);
    const answer = await send(set, batch);
    if (answer.ok) {
      drop(set, batch);
      size = BATCH;
    } else if (answer.status >= 500 || answer.status === 429) {
      throw new Error("try later");
    } else if (batch.length > 1) {
      size = 1; // find the one that is refused
    } else {
      const said = await answer.json().catch(() => ({}));
      refuse(set, batch[0], said.error ?? "It was refused.");
    }
    changed();
  }
}

export async function sendAll() {
  clearTimeout(timer);
  if (sending) return;
  sending = true;
  try {
    while (setsWaiting().length) for (const set of setsWaiting()) await sendSet(set);
    pause = FIRST_PAUSE;
  } catch {
    // no network, or the server is down: everything waits and is sent again
    timer = setTimeout(sendAll, pause);
    pause = Math.min(2 * pause, LONGEST_PAUSE);
  }
  sending = false;
  changed();
}

const note = document.getElementById("waiting");
let hadSome = false;

addEventListener("waiting", () => {
  const count = countWaiting();
  note.hidden = count === 0;
  note.textContent = `${count} waiting`;
  // findings drawn while shots were still on their way are out of date
  if (hadSome && count === 0 && document.querySelector("[data-from-shots]")) location.reload();
  hadSome = count > 0;
});
addEventListener("online", sendAll);
document.addEventListener("visibilitychange", () => {
  if (document.visibilityState === "visible") sendAll();
});
changed();
// not before the other scripts have run: the page was drawn without what waits, and they add it
if (document.readyState === "complete") sendAll();
else addEventListener("load", sendAll);
