// A picture of a film on which a place is pointed at: by finger with a magnifier beside it, by
// mouse, or by arrow keys. Places are pixels of the picture, (0, 0) the middle of the first one.

const KEYS = { ArrowUp: [0, -1], ArrowDown: [0, 1], ArrowLeft: [-1, 0], ArrowRight: [1, 0] };
const FAR = 10;
const CLOSER = 3; // how many times larger the magnifier shows
const NEARER = 3; // how many times larger the whole picture can be had
const SVG = "http://www.w3.org/2000/svg";

export class Stage {
  // told: { moved(x, y), let_go(x, y), key(event) }; moved may return false to take nothing
  constructor(svg, loupe, told) {
    this.svg = svg;
    this.loupe = loupe;
    this.told = told;
    this.width = Number(svg.dataset.width);
    this.height = Number(svg.dataset.height);
    this.at = null;
    this.held = false;
    this.near = false;
    svg.addEventListener("pointerdown", (event) => this.#down(event));
    svg.addEventListener("pointermove", (event) => this.#move(event));
    for (const end of ["pointerup", "pointercancel"]) {
      svg.addEventListener(end, (event) => this.#up(event));
    }
    svg.addEventListener("keydown", (event) => this.#key(event));
  }

  // How many pixels of the picture one pixel of the screen stands for.
  get scale() {
    return 1 / (this.svg.getScreenCTM()?.a || 1);
  }

  // While a place is being set, a finger on the picture moves it, and does not scroll the page.
  placing(on) {
    this.svg.classList.toggle("placing", on);
  }

  hold(place) {
    this.at = place;
  }

  // Show the picture closer round a place, or the whole of it again; returns whether it is closer.
  closer(place) {
    this.near = !this.near;
    const [wide, high] = [this.width / NEARER, this.height / NEARER];
    const within = (middle, size, all) => Math.max(0, Math.min(all - size, middle - size / 2)) - 0.5;
    this.svg.setAttribute(
      "viewBox",
      this.near
        ? `${within(place.x, wide, this.width)} ${within(place.y, high, this.height)} ${wide} ${high}`
        : `-0.5 -0.5 ${this.width} ${this.height}`,
    );
    return this.near;
  }

  get middle() {
    return { x: this.width / 2, y: this.height / 2 };
  }

  step(dx, dy) {
    if (!this.at) return;
    this.at = this.#inside(this.at.x + dx, this.at.y + dy);
    this.#magnify(this.at);
    this.told.moved(this.at.x, this.at.y);
    this.told.let_go?.(this.at.x, this.at.y);
  }

  place(event) {
    const turned = this.svg.getScreenCTM().inverse();
    const { x, y } = new DOMPoint(event.clientX, event.clientY).matrixTransform(turned);
    return this.#inside(x, y);
  }

  #inside(x, y) {
    const round = (value, size) => Math.round(10 * Math.max(0, Math.min(size - 1, value))) / 10;
    return { x: round(x, this.width), y: round(y, this.height) };
  }

  #down(event) {
    if (event.button > 0) return;
    const place = this.place(event);
    if (this.told.moved(place.x, place.y) === false) return;
    event.preventDefault();
    this.svg.focus({ preventScroll: true });
    this.svg.setPointerCapture(event.pointerId);
    this.held = true;
    this.at = place;
    this.#magnify(place, event);
  }

  #move(event) {
    if (!this.held) return;
    this.at = this.place(event);
    this.told.moved(this.at.x, this.at.y);
    this.#magnify(this.at, event);
  }

  #up() {
    if (!this.held) return;
    this.held = false;
    this.loupe.setAttribute("hidden", "");
    this.told.let_go?.(this.at.x, this.at.y);
  }

  #key(event) {
    if (this.told.key?.(event)) {
      event.preventDefault();
      return;
    }
    const way = KEYS[event.key];
    if (!way || !this.at) return;
    const far = event.shiftKey ? FAR : 1;
    this.step(way[0] * far, way[1] * far);
    event.preventDefault();
  }

  // The magnifier stands in the half of the picture where the finger is not.
  #magnify(place) {
    const half = (this.loupe.clientWidth || 132) / 2 / CLOSER * this.scale;
    this.loupe.setAttribute("viewBox", `${place.x - half} ${place.y - half} ${2 * half} ${2 * half}`);
    this.loupe.classList.toggle("right", place.x < this.width / 2);
    this.loupe.removeAttribute("hidden");
    const arm = half * 0.4;
    const gap = half * 0.08;
    const { x, y } = place;
    const d =
      `M${x - arm} ${y}H${x - gap}M${x + gap} ${y}H${x + arm}` +
      `M${x} ${y - arm}V${y - gap}M${x} ${y + gap}V${y + arm}`;
    for (const cross of this.loupe.querySelectorAll(".cross")) cross.setAttribute("d", d);
  }
}

export function drawn(kind, attributes, ...inside) {
  const made = document.createElementNS(SVG, kind);
  for (const [name, value] of Object.entries(attributes)) made.setAttribute(name, value);
  made.append(...inside);
  return made;
}

// A line twice: a dark edge below, so that it shows on any ground.
export function twice(points, kind = "") {
  const d = points.map(([x, y], n) => `${n ? "L" : "M"}${x} ${y}`).join("");
  return [drawn("path", { d, class: `edge ${kind}` }), drawn("path", { d, class: `line ${kind}` })];
}
