// Charting a set with taps: what is tapped is shown at once, and waits until the server has it
// (see waiting.js).

import { showBlock } from "./block.js";
import { takeFeel } from "./feel.js";
import { add, forgive, refused, sendAll, waiting } from "./waiting.js";

const chart = document.getElementById("chart");
const set = chart.dataset.set;
const reach = Number(chart.dataset.reach);
const MODE = "hoopwright:mode";
const at = (id) => document.getElementById(id);

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
  const felt = shot.feel === undefined ? "" : `, felt ${shot.feel}`;
  return (shot.along_cm === undefined ? said : `${said}, tapped ${place(shot)}`) + felt;
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
  for (const entry of refused(set)) inRow(entry.shot?.id)?.remove();
  const late = new Set(waiting(set).map((one) => one.shot?.id));
  for (const item of row.children) item.classList.toggle("late", late.has(item.dataset.id));
  at("undo").querySelector("button").disabled = row.children.length === 0;
  showBlock(sums.shots, waiting(set).length);
  showRefused();
}

function showRefused() {
  const entries = refused(set);
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
  const choices = document.createElement("p");
  choices.className = "actions";
  choices.append(
    button("Send again", () => sendAgain(entries)),
    button("Leave out", () => {
      forgive(set);
      show();
    }),
  );
  box.append(choices);
}

function sendAgain(entries) {
  forgive(set);
  for (const { sentence, ...entry } of entries) {
    add(set, entry);
    if (entry.shot) addToRow(entry.shot);
  }
  show();
  sendAll();
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
  const shot = { id: newId(), made: outcome === "made", miss: [], ...point, ...takeFeel() };
  if (shot.made && rest.length) shot.half = rest[0];
  if (!shot.made) shot.miss = rest;
  return shot;
}

function record(shot) {
  add(set, { key: shot.id, shot });
  addToRow(shot);
  sendAll();
  show();
  const sums = counts();
  say(`Shot ${sums.shots}: ${inWords(shot)}. ${sums.made} of ${sums.shots} made.`);
  navigator.vibrate?.(15);
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
  add(set, { key: newId(), undo: last.dataset.id });
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

function remembered() {
  try {
    return localStorage.getItem(MODE);
  } catch {
    return null;
  }
}

function choose(mode) {
  for (const one of at("modes").children) {
    one.setAttribute("aria-pressed", String(one.dataset.mode === mode));
  }
  at("buttons").hidden = mode !== "buttons";
  at("ring").hidden = mode !== "ring";
}

function remember(mode) {
  try {
    localStorage.setItem(MODE, mode);
  } catch {
    // the choice is not remembered; nothing else depends on it
  }
}

at("modes").addEventListener("click", (event) => {
  const mode = event.target.dataset.mode;
  if (!mode) return;
  choose(mode);
  remember(mode);
});

at("modes").hidden = false;
for (const one of document.querySelectorAll(".scripted")) one.removeAttribute("hidden");
choose("ring" in chart.dataset || remembered() === "ring" ? "ring" : "buttons");
// after a lost answer the server may have a shot already that still waits here
for (const one of waiting(set)) {
  if (one.undo) inRow(one.undo)?.remove();
  else if (!inRow(one.shot.id)) addToRow(one.shot);
}
row.scrollTop = row.scrollHeight;
show();
addEventListener("waiting", show);
addEventListener("pageshow", (event) => {
  if (event.persisted) location.reload(); // shown from the browser's memory after "back"
});
// the list for corrections is drawn by the server: fetch it anew when it is opened
at("correct").addEventListener("toggle", async (event) => {
  if (!event.target.open || waiting(set).length) return;
  const answer = await fetch(location.href).catch(() => null);
  if (!answer?.ok) return;
  const fresh = new DOMParser().parseFromString(await answer.text(), "text/html");
  at("correct").replaceChildren(...fresh.getElementById("correct").children);
});
