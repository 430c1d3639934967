// Turn the still pictures into ones that answer to touch, only when asked: the drawing library is
// large, and is served from here like everything else.

const ask = document.getElementById("interactive");

async function draw(holder) {
  const dark = matchMedia("(prefers-color-scheme: dark)").matches;
  const address = holder.dataset.spec;
  const joint = address.includes("?") ? "&" : "?";
  const answer = await fetch(`${address}${joint}colours=${dark ? "dark" : "light"}`);
  if (!answer.ok) return;
  const live = document.createElement("div");
  live.className = "live";
  const image = holder.querySelector("img");
  live.setAttribute("role", "img");
  live.setAttribute("aria-label", image.alt);
  const pointed = document.createElement("p");
  pointed.className = "pointed";
  pointed.setAttribute("aria-live", "polite");
  pointed.textContent = "Point at or tap a mark for its numbers.";
  holder.after(live, pointed);
  // "ast": expressions are walked, not compiled, as our content policy allows no eval
  await vegaEmbed(live, await answer.json(), {
    ast: true, actions: false, defaultStyle: false, renderer: "canvas",
    tooltip: (handler, event, item, value) => {
      if (value) pointed.textContent = value;
    },
  });
  holder.hidden = true;
}

function load(address) {
  return new Promise((done, failed) => {
    const script = document.createElement("script");
    script.src = address;
    script.addEventListener("load", done);
    script.addEventListener("error", failed);
    document.head.append(script);
  });
}

async function liven() {
  ask.disabled = true;
  try {
    await load("/interactive.js");
    for (const holder of document.querySelectorAll(".still")) await draw(holder);
    ask.hidden = true;
  } catch {
    ask.disabled = false;
    ask.textContent = "That did not load; try again";
  }
}

if (ask) {
  ask.hidden = false;
  ask.addEventListener("click", liven);
}
