// Charting a set with taps. Each shot gets its id here and waits in localStorage until the server
// says it is stored, so that a lost answer, a reload or a dead network loses nothing and doubles
// nothing: the server takes an id once. Entries leave in the order they were made.

const chart = document.getElementById("chart");
const set = chart.dataset.set;
const reach = Number(chart.dataset.reach);
const QUEUE = "hoopwright:waiting:";
const REFUSED = "hoopwright:refused:";
const MODE = "hoopwright:mode";
const BATCH = 50;
const FIRST_PAUSE = 1500;
const LONGEST_PAUSE = 15000;
const at = (id) => document.getElementById(id);

// --- what waits ------------------------------------------------------------------------------

function read(key) {
  try {
    const found = JSON.parse(localStorage.getItem(key) ?? "[]");
    return Array.isArray(found) ? found : [];
  } catch {
    return [];
  }
}

function write(key, entries) {
  if (entries.length) localStorage.setItem(key, JSON.stringify(entries));
  else localStorage.removeItem(key);
}

// All sets with something waiting, this one first: a set left in a dead spot is sent from the next.
function waitingSets() {
  const found = [];
  for (let i = 0; i < localStorage.length; i += 1) {
    const key = localStorage.key(i);
    if (key.startsWith(QUEUE) && key !== QUEUE + set) found.push(key.slice(QUEUE.length));
  }
  return [set, ...found];
}

const waiting = (which = set) => read(QUEUE + which);

function add(entry) {
  write(QUEUE + set, [...waiting(), entry]);
}

// Take acknowledged entries off the front; another tab may have added behind them meanwhile.
function drop(which, entries) {
  const gone = new Set(entries.map((one) => one.key));
  write(QUEUE + which, waiting(which).filter((one) => !gone.has(one.key)));
}

// --- sending ---------------------------------------------------------------------------------

let sending = false;
let pause = FIRST_PAUSE;
let timer = 0;

function post(which, what, body) {
  return fetch(`/sets/${which}/${what}`, {
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

async function send(which, batch) {
  const [first] = batch;
  return first.undo
    ? post(which, "undo", { shot: first.undo })
    : post(which, "shots", { shots: batch.map((one) => one.shot) });
}

async function sendSet(which) {
  let size = BATCH;
  for (let queue = waiting(which); queue.length; queue = waiting(which)) {
    const batch = nextBatch(queue, size);
    const answer = await send(which, batch);
    if (answer.ok) {
      drop(which, batch);
      size = BATCH;
    } else if (answer.status >= 500 || answer.status === 429) {
      throw new Error("try later");
    } else if (batch.length > 1) {
      size = 1; // find the one that is refused
    } else {
      const said = await answer.json().catch(() => ({}));
      refuse(which, batch[0], said.error ?? "It was refused.");
    }
    show();
  }
}

async function sendAll() {
  clearTimeout(timer);
  if (sending) return;
  sending = true;
  try {
    for (const which of waitingSets()) await sendSet(which);
    pause = FIRST_PAUSE;
  } catch {
    // no network, or the server is down: everything waits and is sent again
    timer = setTimeout(sendAll, pause);
    pause = Math.min(2 * pause, LONGEST_PAUSE);
  }
  sending = false;
  show();
}

function refuse(which, entry, sentence) {
  write(REFUSED + which, [...read(REFUSED + which), { ...entry, sentence }]);
  drop(which, [entry]);
}

// --- what the page shows ---------------------------------------------------------------------

const row = at("row");

const SIGNS = {
  short: "↓", long: "↑", left: "←", right: "→",
  "short left": "↙", "short right": "↘", "long left": "↖", "long right": "↗",
};

function sign(shot) {
  return shot.made ? "●" : SIGNS[shot.miss.join(" ")] ?? "✕";
}

function inWords(shot) {
  const half = shot.half ? `, ${shot.half} half` : "";
  const said = shot.made ? `made${half}` : `missed ${shot.miss.join(" and ")}`.trim();
  return shot.along_cm === undefined ? said : `${said}, tapped ${place(shot)}`;
}

function place(shot) {
  const along = Math.round(Math.abs(shot.along_cm));
  const across = Math.round(Math.abs(shot.across_cm));
  return `${along} cm ${shot.along_cm > 0 ? "long" : "short"}, ` +
    `${across} cm ${shot.across_cm > 0 ? "right" : "left"}`;
}

function addToRow(shot) {
  const item = document.createElement("li");
  item.className = `${shot.made ? "in" : "out"} late`;
  item.dataset.id = shot.id;
  const seen = document.createElement("span");
  seen.setAttribute("aria-hidden", "true");
  seen.textContent = sign(shot);
  const heard = document.createElement("span");
  heard.className = "hidden";
  heard.textContent = inWords(shot);
  item.append(seen, heard);
  row.append(item);
  row.scrollTop = row.scrollHeight;
}

// The row holds what the server has and what waits, each shot once: it is what is counted.
function counts() {
  return { shots: row.children.length, made: row.querySelectorAll(".in").length };
}

function inRow(id) {
  return [...row.children].find((one) => one.dataset.id === id);
}

function show() {
  const sums = counts();
  at("shots").textContent = sums.shots;
  at("made").textContent = sums.made;
  const late = new Set(waiting().map((one) => one.shot?.id));
  for (const item of row.children) item.classList.toggle("late", late.has(item.dataset.id));
  const count = waitingSets().reduce((sum, which) => sum + waiting(which).length, 0);
  at("waiting").hidden = count === 0;
  at("waiting").textContent = `${count} waiting`;
  at("undo").querySelector("button").disabled = row.children.length === 0;
  showRefused();
}

function showRefused() {
  const entries = read(REFUSED + set);
  const box = at("refused");
  box.hidden = entries.length === 0;
  box.replaceChildren();
  for (const entry of entries) {
    const line = document.createElement("p");
    const what = entry.undo ? "An undo" : `A shot (${inWords(entry.shot)})`;
    line.textContent = `${what} was not stored: ${entry.sentence}`;
    box.append(line);
  }
  if (!entries.length) return;
  box.append(
    button("Send again", () => {
      write(REFUSED + set, []);
      for (const { sentence, ...entry } of entries) add(entry);
      sendAll();
    }),
    button("Leave out", () => {
      write(REFUSED + set, []);
      location.reload();
    }),
  );
}

function button(words, act) {
  const made = document.createElement("button");
  made.type = "button";
  made.textContent = words;
  made.addEventListener("click", act);
  return made;
}

function say(words) {
  at("said").textContent = words;
}

// --- charting --------------------------------------------------------------------------------

function newId() {
  if (crypto.randomUUID) return crypto.randomUUID();
  // plain http to a number address has no randomUUID; RFC 9562, version 4, by hand
  const bytes = crypto.getRandomValues(new Uint8Array(16));
  bytes[6] = (bytes[6] & 0x0f) | 0x40;
  bytes[8] = (bytes[8] & 0x3f) | 0x80;
  const hex = [...bytes].map((one) => one.toString(16).padStart(2, "0")).join("");
  return hex.replace(/(.{8})(.{4})(.{4})(.{4})(.{12})/, "$1-$2-$3-$4-$5");
}

// "made back" or "missed short left" → a shot
function shotOf(result, point) {
  const [outcome, ...rest] = result.split(" ");
  const shot = { id: newId(), made: outcome === "made", miss: [], ...point };
  if (shot.made && rest.length) shot.half = rest[0];
  if (!shot.made) shot.miss = rest;
  return shot;
}

function record(shot) {
  add({ key: shot.id, shot });
  addToRow(shot);
  show();
  const sums = counts();
  say(`Shot ${sums.shots}: ${inWords(shot)}. ${sums.made} of ${sums.shots} made.`);
  navigator.vibrate?.(15);
  sendAll();
}

at("buttons").addEventListener("submit", (event) => {
  event.preventDefault();
  if (event.submitter) record(shotOf(event.submitter.value));
});

at("undo").addEventListener("submit", (event) => {
  event.preventDefault();
  const last = row.lastElementChild;
  if (!last) return;
  last.remove();
  add({ key: newId(), undo: last.dataset.id });
  show();
  say(`Undone. ${counts().made} of ${counts().shots} made.`);
  sendAll();
});

// --- the ring from above ---------------------------------------------------------------------

const plane = at("plane");
const mark = at("mark");
const KEYS = { ArrowUp: [0, -2], ArrowDown: [0, 2], ArrowLeft: [-2, 0], ArrowRight: [2, 0] };
let point = null; // x to the right and y down, in cm from ring centre

function mapPoint(x, y) {
  const inside = (value) => Math.max(-reach, Math.min(reach, Math.round(value * 10) / 10));
  point = { x: inside(x), y: inside(y) };
  mark.removeAttribute("hidden");
  mark.setAttribute("transform", `translate(${point.x} ${point.y})`);
  at("where").textContent = `${place(landing())}: made or missed?`;
}

function landing() {
  return { along_cm: -point.y || 0, across_cm: point.x || 0 };
}

function forget() {
  point = null;
  mark.setAttribute("hidden", "");
  at("where").textContent = "Tap the place first.";
}

function recordOnRing(result) {
  if (!point) {
    at("where").textContent = "Tap the place first, then made or missed.";
    return;
  }
  record(shotOf(result, landing()));
  forget();
}

plane.addEventListener("pointerdown", (event) => {
  const box = plane.getBoundingClientRect();
  const scale = (2 * reach) / box.width;
  mapPoint((event.clientX - box.left) * scale - reach, (event.clientY - box.top) * scale - reach);
});

plane.addEventListener("keydown", (event) => {
  const step = KEYS[event.key];
  const letter = event.key.toLowerCase();
  if (step) mapPoint((point?.x ?? 0) + step[0], (point?.y ?? 0) + step[1]);
  else if (letter === "m") recordOnRing("made");
  else if (letter === "x") recordOnRing("missed");
  else return;
  event.preventDefault();
});

at("ring").addEventListener("submit", (event) => {
  event.preventDefault();
  if (event.submitter) recordOnRing(event.submitter.value);
});

// --- one way of charting at a time -------------------------------------------------------------

function choose(mode) {
  for (const one of at("modes").children) {
    one.setAttribute("aria-pressed", String(one.dataset.mode === mode));
  }
  at("buttons").hidden = mode !== "buttons";
  at("ring").hidden = mode !== "ring";
  localStorage.setItem(MODE, mode);
}

at("modes").addEventListener("click", (event) => {
  if (event.target.dataset.mode) choose(event.target.dataset.mode);
});

at("modes").hidden = false;
choose(localStorage.getItem(MODE) === "ring" ? "ring" : "buttons");
// after a lost answer the server may have a shot already that still waits here
for (const one of waiting()) {
  if (one.undo) inRow(one.undo)?.remove();
  else if (!inRow(one.shot.id)) addToRow(one.shot);
}
row.scrollTop = row.scrollHeight;
show();
sendAll();
addEventListener("online", sendAll);
addEventListener("pageshow", (event) => {
  if (event.persisted) location.reload(); // shown from the browser's memory after "back"
});
document.addEventListener("visibilitychange", () => {
  if (document.visibilityState === "visible") sendAll();
});
// the list for corrections is drawn by the server: fetch it anew when it is opened
at("correct").addEventListener("toggle", async (event) => {
  if (!event.target.open || waiting().length) return;
  const answer = await fetch(location.href).catch(() => null);
  if (!answer?.ok) return;
  const fresh = new DOMParser().parseFromString(await answer.text(), "text/html");
  at("correct").replaceChildren(...fresh.getElementById("correct").children);
});
