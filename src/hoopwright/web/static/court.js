// Tap on the half court to choose a spot; the list and the two fields do the same without it.

const court = document.getElementById("court");
const list = document.getElementById("spot");
const chosen = document.getElementById("chosen");
const away = document.getElementById("elsewhere");
const distance = document.getElementById("distance");
const bearing = document.getElementById("bearing");
const ELSEWHERE = "elsewhere";
const NEAR = 45; // a tap this close to a named spot means it [cm]

const spots = [...list.options]
  .filter((one) => one.dataset.x !== undefined)
  .map((one) => ({ name: one.value, x: Number(one.dataset.x), y: Number(one.dataset.y) }));

function number(text) {
  const found = Number.parseFloat(text.replace(",", "."));
  return Number.isFinite(found) ? found : null;
}

function current() {
  const named = spots.find((one) => one.name === list.value);
  if (named) return named;
  const far = number(distance.value);
  if (far === null) return null;
  const turn = ((number(bearing.value) ?? 0) * Math.PI) / 180;
  return { x: 100 * far * Math.sin(turn), y: 100 * far * Math.cos(turn) };
}

function show() {
  const spot = current();
  away.hidden = list.value !== ELSEWHERE;
  chosen.toggleAttribute("hidden", spot === null);
  if (spot) {
    chosen.setAttribute("cx", spot.x);
    chosen.setAttribute("cy", spot.y);
  }
}

court.addEventListener("click", (event) => {
  const at = new DOMPoint(event.clientX, event.clientY).matrixTransform(
    court.getScreenCTM().inverse(),
  );
  const far = (one) => Math.hypot(one.x - at.x, one.y - at.y);
  const nearest = spots.reduce((best, one) => (far(one) < far(best) ? one : best));
  if (far(nearest) <= NEAR) {
    list.value = nearest.name;
  } else {
    list.value = ELSEWHERE;
    distance.value = `${(Math.hypot(at.x, at.y) / 100).toFixed(2)} m`;
    bearing.value = ((Math.atan2(at.x, at.y) * 180) / Math.PI).toFixed(0);
  }
  show();
});

for (const one of [list, distance, bearing]) one.addEventListener("input", show);
show();
