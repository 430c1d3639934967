// Send a film with a bar that says how far it is; without this script the form sends it plainly.

const form = document.getElementById("film-form");
const bar = document.getElementById("sending");
const how = document.getElementById("how-far");
const trouble = document.getElementById("not-sent");
const stop = document.getElementById("stop-sending");

function refuse(sentence) {
  trouble.textContent = sentence;
  trouble.hidden = false;
  bar.hidden = how.hidden = stop.hidden = true;
  form.elements.send.disabled = false;
}

function megabytes(bytes) {
  return `${Math.round(bytes / 1e6)} MB`;
}

form.addEventListener("submit", (event) => {
  const [file] = form.elements.file.files;
  const largest = Number(form.dataset.largest);
  trouble.hidden = true;
  if (!file) return; // the server says what is missing
  event.preventDefault();
  if (file.size > largest) {
    refuse(`The film is over the limit of ${largest / 1e9} GB; film shorter clips or cut it.`);
    return;
  }
  send(file);
});

function send(file) {
  const request = new XMLHttpRequest();
  request.open("POST", form.action);
  request.setRequestHeader("accept", "application/json");
  request.responseType = "json";
  request.upload.addEventListener("progress", ({ loaded, total }) => {
    bar.value = total ? loaded / total : 0;
    how.textContent =
      loaded < total ? `${megabytes(loaded)} of ${megabytes(file.size)} sent.` : "Sent; looking at it.";
  });
  request.addEventListener("load", () => {
    if (request.response?.go) location.assign(request.response.go);
    else refuse(request.response?.error ?? "That did not work; send the film again.");
  });
  request.addEventListener("error", () => refuse("The connection broke off; send the film again."));
  request.addEventListener("abort", () => refuse("Stopped; nothing was stored."));
  stop.onclick = () => request.abort();
  form.elements.send.disabled = true;
  bar.hidden = how.hidden = stop.hidden = false;
  bar.value = 0;
  request.send(new FormData(form));
}

// whose film it is decides which sets are offered
form.elements.player.addEventListener("change", () => {
  if (form.elements.file.files.length) return; // a chosen film is not thrown away for that
  const address = new URL(location.href);
  address.searchParams.set("player", form.elements.player.value);
  address.searchParams.delete("set");
  location.replace(address);
});
