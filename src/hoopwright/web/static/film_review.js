// Looking at one shot picture by picture, and setting by hand what was seen wrong.

import { Stage, drawn, twice } from "./marker.js";

const at = (id) => document.getElementById(id);
const box = at("review");
const slider = at("frame");
const [first, last] = [Number(slider.min), Number(slider.max)];
const KEPT = 150;
const AHEAD = 8;
const PAUSE = 120; // a picture that is only passed by is not fetched [ms]
const pictures = new Map(); // number → picture that is loaded or on its way
let data = null;
let now = Number(slider.value);
let what = ""; // what is being set: "ball", "point left knee", "event release" or nothing
let hand = null; // its place, where it has one

const stage = new Stage(at("stage"), at("loupe"), {
  moved(x, y) {
    if (!placed()) return false;
    hand = { x, y };
    draw();
    return true;
  },
  key(event) {
    if (event.key === "Enter" && what) return send() ?? true;
    if (event.key === "Escape" && what) return letGo() ?? true;
    const step = { ",": -1, ".": 1 }[event.key] ?? (hand ? 0 : arrow(event));
    if (!step) return false;
    show(now + step);
    return true;
  },
});

const arrow = (event) => ({ ArrowLeft: -1, ArrowRight: 1 })[event.key] ?? 0;
const placed = () => what === "ball" || what.startsWith("point ");

// --- pictures --------------------------------------------------------------------------------

function fetched(number) {
  if (!pictures.has(number)) {
    const picture = new Image();
    picture.src = `${box.dataset.pictures}/${number}.jpg`;
    pictures.set(number, picture);
    if (pictures.size > KEPT) pictures.delete(pictures.keys().next().value);
  }
  return pictures.get(number);
}

async function show(number) {
  now = Math.max(first, Math.min(last, number));
  slider.value = now;
  slider.setAttribute("aria-valuetext", `picture ${now}`);
  if (placed()) takeUp();
  draw();
  const wanted = now;
  const here = pictures.get(wanted)?.complete;
  at("number").textContent = `Picture ${now}${eventHere()}${here ? "" : ", on its way"}`;
  if (!here) await new Promise((done) => setTimeout(done, PAUSE));
  if (wanted !== now) return;
  const picture = fetched(wanted);
  try {
    await picture.decode();
  } catch {
    pictures.delete(wanted);
    if (wanted === now) at("number").textContent = `Picture ${now} can't be shown`;
    return;
  }
  if (wanted !== now) return;
  at("number").textContent = `Picture ${now}${eventHere()}`;
  for (const image of document.querySelectorAll(".of-film")) {
    image.setAttribute("href", picture.src);
  }
  for (let ahead = 1; ahead <= AHEAD; ahead += 1) {
    if (now + ahead <= last) fetched(now + ahead);
    if (now - ahead >= first && ahead < AHEAD) fetched(now - ahead);
  }
}

function eventHere() {
  const here = data?.events.filter((one) => one.frame === now) ?? [];
  return here.map((one) => `, ${one.name}${one.by_hand ? " (set by hand)" : ""}`).join("");
}

// --- drawing ---------------------------------------------------------------------------------

function draw() {
  if (!data) return;
  const parts = [];
  const behind = data.trail.filter(([frame]) => frame <= now);
  const ahead = data.trail.filter(([frame]) => frame >= now);
  if (ahead.length > 1) parts.push(...twice(ahead.map(([, x, y]) => [x, y]), "faint"));
  if (behind.length > 1) parts.push(...twice(behind.map(([, x, y]) => [x, y])));
  const points = data.body[now] ?? [];
  for (const [a, b] of data.lines) {
    if (points[a] && points[b]) parts.push(...twice([points[a], points[b]]));
  }
  const ball = ballHere();
  if (ball) parts.push(...ringAt(ball, 7));
  for (const mark of data.marks) {
    if (mark.frame === now && mark.x !== null) parts.push(...ringAt(mark, 11, "by-hand"));
  }
  at("drawn").replaceChildren(...parts);
  at("marks").replaceChildren(...(hand ? ringAt(hand, 9, "now") : []));
  at("set").disabled = !what || (placed() && !hand);
  at("pad").hidden = !placed();
  stage.placing(placed());
}

function ringAt({ x, y }, size, kind = "") {
  const radius = size * stage.scale;
  return [
    drawn("circle", { cx: x, cy: y, r: radius, class: `edge ${kind}` }),
    drawn("circle", { cx: x, cy: y, r: radius, class: `line ${kind}` }),
  ];
}

function ballHere() {
  const here = data.trail.find(([frame]) => frame === now);
  return here ? { x: here[1], y: here[2] } : null;
}

// --- setting by hand ---------------------------------------------------------------------------

// Start from where the thing was seen, else from the middle of the picture.
function takeUp() {
  const name = what.replace("point ", "");
  const marked = data?.marks.find((one) => one.what === name && one.frame === now);
  const seen = what === "ball" ? data && ballHere() : known(name);
  hand = marked ?? seen ?? hand ?? { x: stage.width / 2, y: stage.height / 2 };
  hand = { x: hand.x, y: hand.y };
  stage.hold(hand);
}

function known(name) {
  const place = data?.body[now]?.[data.points.indexOf(name)];
  return place ? { x: place[0], y: place[1] } : null;
}

function choose() {
  what = at("what").value;
  hand = null;
  stage.hold(null);
  if (placed()) {
    takeUp();
    say("Tap or drag to the place, or move it with the arrow keys; then press Set.");
  } else if (what) {
    const there = data?.events.find((one) => `event ${one.name}` === what);
    if (there) show(there.frame);
    say("Step to the picture where it happens, then press Set.");
  } else {
    say("");
  }
  draw();
}

function letGo() {
  at("what").value = "";
  at("loupe").setAttribute("hidden", "");
  choose();
}

function say(words) {
  at("hint").textContent = words;
}

async function send() {
  const fields = new URLSearchParams({ what, frame: String(now) });
  if (placed()) {
    fields.set("x", String(hand.x));
    fields.set("y", String(hand.y));
  }
  await post(at("by-hand").action, fields);
}

async function post(address, fields) {
  say("Working it out again.");
  at("set").disabled = true;
  const answer = await fetch(address, {
    method: "POST",
    headers: { accept: "application/json" },
    body: fields,
  }).catch(() => null);
  const told = (await answer?.json().catch(() => null)) ?? {};
  if (!answer?.ok) {
    say(told.error ?? "That was not stored: the connection broke off; try again.");
    draw();
    return;
  }
  letGo();
  await refresh();
  say(told.said || "Stored, and the numbers are worked out again.");
}

async function refresh() {
  const answer = await fetch(`${location.pathname}?frame=${now}`).catch(() => null);
  if (!answer?.ok) {
    location.assign(box.dataset.film); // the shot may be gone with what was set
    return;
  }
  const fresh = new DOMParser().parseFromString(await answer.text(), "text/html");
  for (const id of ["result", "numbers", "set-by-hand"]) {
    at(id).replaceChildren(...fresh.getElementById(id).childNodes);
  }
  await load();
  show(now);
}

async function load() {
  const answer = await fetch(`${location.pathname}?format=json`).catch(() => null);
  if (answer?.ok) data = await answer.json();
}

// --- the page ----------------------------------------------------------------------------------

slider.addEventListener("input", () => show(Number(slider.value)));
at("back").addEventListener("click", (event) => {
  event.preventDefault();
  show(now - 1);
});
at("on").addEventListener("click", (event) => {
  event.preventDefault();
  show(now + 1);
});
at("what").addEventListener("change", choose);
at("by-hand").addEventListener("submit", (event) => {
  event.preventDefault();
  if (what) send();
});
at("closer").addEventListener("click", () => {
  const seen = (data?.body[now] ?? []).find((place) => place);
  const middle = hand ?? (data && ballHere()) ?? (seen && { x: seen[0], y: seen[1] });
  at("closer").setAttribute("aria-pressed", String(stage.closer(middle || stage.middle)));
  draw();
});
for (const pad of document.querySelectorAll("[data-step]")) {
  const [dx, dy] = pad.dataset.step.split(" ").map(Number);
  pad.addEventListener("click", () => stage.step(dx, dy));
}
// buttons that are drawn anew after every change
document.addEventListener("submit", (event) => {
  if (!event.target.matches(".answered-here")) return;
  event.preventDefault();
  const fields = new URLSearchParams(new FormData(event.target, event.submitter));
  post(event.target.action, fields);
});
document.addEventListener("click", (event) => {
  const jump = event.target.closest("[data-frame]");
  if (!jump) return;
  event.preventDefault();
  show(Number(jump.dataset.frame));
});
for (const one of document.querySelectorAll(".scripted")) one.removeAttribute("hidden");
await load();
show(now);
