// How a shot felt, 0 to 10, said by the player before the result is seen: tapped first, it goes
// with the shot that is tapped next. Off unless asked for; the choice is remembered on this phone.

const ASKED = "hoopwright:ask-feel";
const box = document.getElementById("ask-feel");
const pad = document.getElementById("feel");
const steps = [...pad.querySelectorAll("[data-feel]")];
let felt = null;

function press(value) {
  felt = value;
  for (const step of steps) {
    step.setAttribute("aria-pressed", String(Number(step.dataset.feel) === value));
  }
}

function remember(asked) {
  try {
    if (asked) localStorage.setItem(ASKED, "yes");
    else localStorage.removeItem(ASKED);
  } catch {
    // asked for on this page only
  }
}

function remembered() {
  try {
    return localStorage.getItem(ASKED) === "yes";
  } catch {
    return false;
  }
}

function show(asked) {
  box.checked = asked;
  pad.hidden = !asked;
  if (!asked) press(null);
}

// The feel for the shot that is being noted, and none for the next one.
export function takeFeel() {
  if (felt === null) return {};
  const taken = { feel: felt };
  press(null);
  return taken;
}

pad.addEventListener("click", (event) => {
  const step = event.target.closest("[data-feel]");
  if (!step) return;
  const value = Number(step.dataset.feel);
  press(value === felt ? null : value); // tapped again, it is taken back
});
box.addEventListener("change", () => {
  remember(box.checked);
  show(box.checked);
});
show(remembered());
