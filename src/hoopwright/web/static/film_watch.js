// Watch a film being measured; at the end the page is shown anew, with what came out.

const box = document.getElementById("under-way");
const EVERY = 1000;

async function look() {
  const answer = await fetch(box.dataset.progress).catch(() => null);
  if (answer?.ok) {
    const now = await answer.json();
    if (now.ended) {
      location.reload();
      return;
    }
    document.getElementById("share").value = now.share;
    document.getElementById("percent").textContent = `${Math.round(100 * now.share)} %`;
    const said = document.getElementById("doing");
    if (said.textContent !== now.said) said.textContent = now.said;
  }
  setTimeout(look, EVERY);
}

if (box) setTimeout(look, EVERY);
