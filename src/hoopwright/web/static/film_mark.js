// Marking a camera place: choose a landmark, tap its place, move it; what the marks give is asked of
// the server after every change and drawn back on the picture.

import { Stage, drawn, twice } from "./marker.js";

const at = (id) => document.getElementById(id);
const form = at("marking");
const buttons = [...document.querySelectorAll("[data-landmark]")];
const marks = new Map(JSON.parse(form.elements.marks.value || "[]").map(([n, x, y]) => [n, { x, y }]));
const PAUSE = 250;
let chosen = null;
let found = null;
let timer = 0;
let asked = 0;

const stage = new Stage(at("stage"), at("loupe"), {
  moved(x, y) {
    if (!chosen) {
      say("Choose a point in the list first, then tap its place.");
      return false;
    }
    marks.set(chosen, { x, y });
    show();
    return true;
  },
  let_go() {
    changed();
  },
  key(event) {
    if (event.key !== "Delete" && event.key !== "Backspace") return false;
    remove();
    return true;
  },
});

function say(words) {
  at("where").textContent = words;
}

function choose(name) {
  chosen = name;
  stage.hold(marks.get(name) ?? null);
  const button = buttons.find((one) => one.dataset.landmark === name);
  say(`${marks.has(name) ? "Move" : "Tap"} ${button.dataset.where}.`);
  show();
}

function remove() {
  if (!chosen || !marks.delete(chosen)) return;
  stage.hold(null);
  at("loupe").setAttribute("hidden", "");
  show();
  changed();
}

function changed() {
  form.elements.marks.value = JSON.stringify([...marks].map(([n, { x, y }]) => [n, x, y]));
  clearTimeout(timer);
  timer = setTimeout(check, PAUSE);
}

// --- what the marks give ---------------------------------------------------------------------

async function check() {
  const turn = (asked += 1);
  if (marks.size < 4) {
    found = null;
    tell([`${marks.size} of at least 4 points marked; 6 or more let a wrong one be named.`]);
    show();
    return;
  }
  const answer = await fetch(form.dataset.check, {
    method: "POST",
    headers: { "content-type": "application/json" },
    body: JSON.stringify({
      marks: JSON.parse(form.elements.marks.value),
      rules: form.elements.rules.value,
      ring_height: form.elements.ring_height.value,
    }),
  }).catch(() => null);
  if (turn !== asked) return; // a later one is under way
  const told = answer?.ok ? await answer.json() : { error: "That can't be checked now; go on." };
  found = told.error ? null : told;
  if (told.error) tell([told.error]);
  else tell([`The marks fit to ${told.rms.toFixed(1)} px.`, ...told.notes]);
  show(told.field);
}

function tell(sentences) {
  at("told").replaceChildren(
    ...sentences.map((sentence) => {
      const line = document.createElement("p");
      line.textContent = sentence;
      return line;
    }),
  );
}

// --- drawing ---------------------------------------------------------------------------------

function show(wrong = null) {
  at("drawn").replaceChildren(...(found ? found.lines.flatMap(([, points]) => twice(points)) : []));
  const radius = 9 * stage.scale;
  at("marks").replaceChildren(
    ...[...marks].map(([name, { x, y }]) =>
      drawn(
        "g",
        { class: `spot${name === chosen ? " now" : ""}${bad(name, wrong) ? " bad" : ""}` },
        drawn("circle", { cx: x, cy: y, r: radius, class: "edge" }),
        drawn("circle", { cx: x, cy: y, r: radius, class: "line" }),
        drawn("circle", { cx: x, cy: y, r: 1.2 * stage.scale, class: "dot" }),
      ),
    ),
  );
  for (const button of buttons) {
    const name = button.dataset.landmark;
    const off = found?.marks.find((one) => one.name === name);
    button.setAttribute("aria-pressed", String(name === chosen));
    button.classList.toggle("marked", marks.has(name));
    button.classList.toggle("bad", bad(name, wrong));
    const state = bad(name, wrong) ? "look again" : marks.has(name) ? "marked" : "";
    button.querySelector(".off").textContent = off ? `${state}, ${off.off.toFixed(1)} px off` : state;
  }
  at("count").textContent = marks.size;
  at("pad").hidden = !chosen;
  stage.placing(Boolean(chosen));
  at("unmark").disabled = !chosen || !marks.has(chosen);
}

function bad(name, wrong) {
  return name === wrong || Boolean(found?.marks.some((one) => one.name === name && one.bad));
}

for (const button of buttons) button.addEventListener("click", () => choose(button.dataset.landmark));
for (const pad of document.querySelectorAll("[data-step]")) {
  const [dx, dy] = pad.dataset.step.split(" ").map(Number);
  pad.addEventListener("click", () => stage.step(dx, dy));
}
at("unmark").addEventListener("click", remove);
at("closer").addEventListener("click", () => {
  const near = stage.closer(stage.at ?? hoop() ?? stage.middle);
  at("closer").setAttribute("aria-pressed", String(near));
  show();
});

// Where most of what is marked is small.
function hoop() {
  const up = [...marks].filter(([name]) => name.startsWith("board")).map(([, place]) => place);
  const mean = (key) => up.reduce((sum, one) => sum + one[key], 0) / up.length;
  return up.length ? { x: mean("x"), y: mean("y") } : null;
}
form.elements.ring_height.addEventListener("change", changed);
for (const one of document.querySelectorAll(".scripted")) one.removeAttribute("hidden");
show();
changed();
