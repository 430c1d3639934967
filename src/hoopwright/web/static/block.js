// A set that is a block of a trial: how many shots are left, and what comes when it is full.

const chart = document.getElementById("chart");
const total = Number(chart.dataset.total ?? 0);
const washout = Number(chart.dataset.washout ?? 0);
const full = document.getElementById("full");
const left = document.getElementById("left");
const pads = [...document.querySelectorAll("#buttons, #ring, #modes")];

function leftWords(shots) {
  const more = total - shots;
  if (more <= 0) return "";
  const said = `${more} to go`;
  return shots < washout ? `${said}, ${washout - shots} before it counts` : said;
}

// Shots beyond the plan would be left out of the verdict, so the pads go when the block is full.
export function showBlock(shots, late) {
  if (!total) return;
  const over = shots >= total;
  left.textContent = leftWords(shots);
  full.hidden = !over;
  for (const pad of pads) pad.classList.toggle("over", over);
  if (!over) return;
  const waits = late ? ` ${late} of its shots wait on this phone for the network; stay on this page until they are sent, or come back to any page of Hoopwright later.` : "";
  const said = `The block is full.${waits}`;
  const status = document.getElementById("full-said");
  if (status.textContent !== said) status.textContent = said;
}

// A page that can't be reached would only show the browser's own error: stay, and say so.
async function reachable() {
  try {
    await fetch("/static/icon.svg", { cache: "no-store", signal: AbortSignal.timeout(4000) });
    return true;
  } catch {
    return false;
  }
}

function sayAway() {
  document.getElementById("full-said").textContent =
    "The server can't be reached just now. Nothing is lost: what was tapped is kept on this phone. Try again in a moment.";
}

if (full) {
  full.addEventListener("submit", async (event) => {
    event.preventDefault();
    if (await reachable()) event.target.submit();
    else sayAway();
  });
  full.addEventListener("click", async (event) => {
    const link = event.target.closest("a");
    if (!link) return;
    event.preventDefault();
    if (await reachable()) location.assign(link.href);
    else sayAway();
  });
}
