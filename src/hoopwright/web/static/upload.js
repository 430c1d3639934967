// Say at once that a file is too large, before it is sent; the server refuses it as well.

const form = document.getElementById("upload");
const said = document.getElementById("too-large");

form.addEventListener("submit", (event) => {
  const [file] = form.elements.file.files;
  const largest = Number(form.dataset.largest);
  said.hidden = !file || file.size <= largest;
  if (said.hidden) return;
  event.preventDefault();
  said.textContent =
    `The file is over the limit of ${largest / 1e6} MB; ` +
    "split it and bring the parts in one by one.";
});
