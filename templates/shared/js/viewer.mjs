// The close view of a plate: a dialog in which one picture is enlarged down to
// its grain, by wheel, pinch, drag, buttons and keys.
//
//   <dialog data-viewer aria-label="…">
//     <div data-viewer-stage></div>               the picture goes in here, class viewer-picture
//     <button data-viewer-zoom="in|out|fit">, <button data-viewer-close>
//     <output data-viewer-scale data-pattern="{n} %" data-failed="…"></output>
//   </dialog>
//
// The dialog is a native one: focus moves in, stays in, Esc closes, and focus
// goes back to where it came from.

import { fitted, zoomedAt, moved } from "./viewer-geometry.mjs";

const STEP = 1.5; // of a button or key
const PAN = 80; // CSS pixels of an arrow key

export class Viewer {
  constructor(dialog) {
    this.dialog = dialog;
    this.stage = dialog.querySelector("[data-viewer-stage]");
    this.picture = document.createElement("img");
    this.picture.className = "viewer-picture";
    this.stage.append(this.picture);
    this.scale = dialog.querySelector("[data-viewer-scale]");
    this.pointers = new Map();
    this.view = null;
    this.size = { width: 1, height: 1 };
    dialog.querySelector("[data-viewer-close]")?.addEventListener("click", () => dialog.close());
    for (const button of dialog.querySelectorAll("[data-viewer-zoom]")) {
      button.addEventListener("click", () => this.zoom(button.dataset.viewerZoom));
    }
    dialog.addEventListener("keydown", (event) => this.key(event));
    dialog.addEventListener("close", () => this.left());
    this.stage.addEventListener("wheel", (event) => this.wheel(event), { passive: false });
    this.stage.addEventListener("dblclick", (event) => this.toggle(event));
    this.stage.addEventListener("pointerdown", (event) => this.down(event));
    this.stage.addEventListener("pointermove", (event) => this.move(event));
    for (const end of ["pointerup", "pointercancel", "lostpointercapture"]) {
      this.stage.addEventListener(end, (event) => this.pointers.delete(event.pointerId));
    }
    new ResizeObserver(() => this.dialog.open && this.fit()).observe(this.stage);
  }

  // open shows a picture of width × height pixels. preview, if given, is an
  // address already loaded, shown until the large one is there.
  async open({ src, width, height, alt, preview }) {
    this.size = { width, height };
    this.picture.alt = alt ?? "";
    this.picture.width = width;
    this.picture.height = height;
    this.picture.src = preview || src;
    this.dialog.showModal();
    this.fit();
    if (!preview || preview === src) return;
    const large = new Image();
    large.src = src;
    try {
      await large.decode();
      if (this.dialog.open) this.picture.src = src;
    } catch {
      if (this.scale) this.scale.value = this.scale.dataset.failed ?? "";
    }
  }

  left() {
    this.pointers.clear();
    this.picture.removeAttribute("src");
  }

  box() {
    return { width: this.stage.clientWidth, height: this.stage.clientHeight };
  }

  fit() {
    this.show(fitted(this.size, this.box()));
  }

  show(view) {
    this.view = view;
    this.picture.style.transform = `translate(${view.x}px, ${view.y}px) scale(${view.scale})`;
    if (this.scale) this.scale.value = (this.scale.dataset.pattern ?? "{n} %").replace("{n}", Math.round(view.scale * 100));
  }

  zoom(how) {
    if (how === "fit") return this.fit();
    const { width, height } = this.box();
    this.zoomAt(how === "in" ? STEP : 1 / STEP, width / 2, height / 2);
  }

  zoomAt(factor, x, y) {
    this.show(zoomedAt(this.view, factor, x, y, this.size, this.box()));
  }

  pan(dx, dy) {
    this.show(moved(this.view, dx, dy, this.size, this.box()));
  }

  key(event) {
    if (event.altKey || event.ctrlKey || event.metaKey) return;
    const act = {
      "+": () => this.zoom("in"),
      "=": () => this.zoom("in"),
      "-": () => this.zoom("out"),
      "−": () => this.zoom("out"),
      0: () => this.zoom("fit"),
      ArrowLeft: () => this.pan(PAN, 0),
      ArrowRight: () => this.pan(-PAN, 0),
      ArrowUp: () => this.pan(0, PAN),
      ArrowDown: () => this.pan(0, -PAN),
    }[event.key];
    if (!act) return;
    event.preventDefault();
    act();
  }

  at(event) {
    const edge = this.stage.getBoundingClientRect();
    return { x: event.clientX - edge.left, y: event.clientY - edge.top };
  }

  wheel(event) {
    event.preventDefault();
    const { x, y } = this.at(event);
    const lines = event.deltaMode === WheelEvent.DOM_DELTA_LINE ? 18 : 1;
    this.zoomAt(Math.exp(-event.deltaY * lines * 0.0016), x, y);
  }

  toggle(event) {
    const whole = fitted(this.size, this.box());
    if (this.view.scale > whole.scale * 1.01) return this.fit();
    const { x, y } = this.at(event);
    this.zoomAt(Math.max(1, whole.scale * 2) / whole.scale, x, y);
  }

  down(event) {
    if (event.button !== 0) return;
    this.stage.setPointerCapture(event.pointerId);
    this.pointers.set(event.pointerId, this.at(event));
  }

  move(event) {
    const before = this.pointers.get(event.pointerId);
    if (!before) return;
    const now = this.at(event);
    this.pointers.set(event.pointerId, now);
    if (this.pointers.size === 1) return this.pan(now.x - before.x, now.y - before.y);
    if (this.pointers.size !== 2) return;
    const [id] = [...this.pointers.keys()].filter((id) => id !== event.pointerId);
    const other = this.pointers.get(id);
    const apart = (a) => Math.hypot(a.x - other.x, a.y - other.y) || 1;
    this.zoomAt(apart(now) / apart(before), (now.x + other.x) / 2, (now.y + other.y) / 2);
    this.pan((now.x - before.x) / 2, (now.y - before.y) / 2);
  }
}
