// The viewer: one picture as large as the window; step, zoom, move, full screen.

import { sentence } from './door.mjs';
import { followPointers } from './pointers.mjs';
import { atLeast, emptyPicture, showBlob } from './pictures.mjs';
import { number, say } from './words.mjs';
import { scaleBar, Zoom } from './zoom.mjs';

const byID = (id) => document.getElementById(`viewer-${id}`);
const STEP = 1.5; // of the zoom buttons
const BAR = 120; // CSS pixels, the longest scale bar

export class Viewer {
  #dialog = document.getElementById('viewer');
  #stage = byID('stage');
  #picture = emptyPicture();
  #steps;
  #pictures;
  #index = 0;
  #zoom = new Zoom(1, 1);
  #shown = null; // the picture file on the stage
  #turn = 0; // counts requests, so that late pictures of earlier ones are dropped

  constructor(steps, pictures) {
    this.#steps = steps;
    this.#pictures = pictures;
    this.#picture.id = 'viewer-picture';
    this.#stage.prepend(this.#picture);
    const press = (id, act) => byID(id).addEventListener('click', act);
    press('back', () => this.#go(-1));
    press('on', () => this.#go(1));
    press('larger', () => this.#zoomBy(STEP));
    press('smaller', () => this.#zoomBy(1 / STEP));
    press('whole', () => this.#whole());
    press('close', () => this.#dialog.close());
    press('full', () => this.#fullScreen());
    byID('full').hidden = !document.fullscreenEnabled;
    this.#dialog.addEventListener('keydown', (e) => this.#key(e));
    this.#dialog.addEventListener('close', () => this.#closed());
    new ResizeObserver(() => this.#resize()).observe(this.#stage);
    followPointers(this.#stage, {
      isWhole: () => this.#zoom.whole,
      zoom: (factor, x, y) => this.#zoomBy(factor, x, y),
      move: (dx, dy) => { this.#zoom.move(dx, dy); this.#draw(); },
      drag: (dx) => this.#picture.style.setProperty('--drag', `${dx}px`),
      swipe: (way) => this.#go(way),
      twice: (x, y) => (this.#zoom.whole ? this.#zoomBy(Math.max(2.5, 1 / this.#zoom.fit), x, y) : this.#whole()),
    });
  }

  open(index) {
    this.#index = index;
    this.#dialog.showModal();
    document.documentElement.dataset.viewing = '';
    this.#show();
    this.#stage.focus();
  }

  #closed() {
    this.#turn++;
    if (document.fullscreenElement) document.exitFullscreen();
    delete document.documentElement.dataset.viewing;
    this.#picture.removeAttribute('src');
    this.#picture.hidden = true;
    // Back to the plate last seen, which may not be the one that was opened.
    this.#steps[this.#index].opener.focus();
  }

  #go(way) {
    const to = this.#index + way;
    if (to < 0 || to >= this.#steps.length) return;
    this.#index = to;
    this.#show();
  }

  #show() {
    const step = this.#steps[this.#index];
    const largest = step.view.pictures.at(-1);
    byID('title').textContent = say('viewer_title', { title: step.title, i: this.#index + 1, of: this.#steps.length });
    byID('facts').textContent = step.facts;
    this.#able('back', this.#index > 0);
    this.#able('on', this.#index < this.#steps.length - 1);
    this.#zoom = new Zoom(largest.width, largest.height);
    this.#shown = null;
    this.#picture.hidden = true;
    this.#picture.alt = step.alt;
    this.#resize();
    this.#load();
  }

  #able(id, can) {
    // A disabled button would drop the focus of who just pressed it.
    byID(id).setAttribute('aria-disabled', String(!can));
  }

  // Fetches the picture that the present zoom needs, unless a finer one is there.
  async #load() {
    const step = this.#steps[this.#index];
    const wanted = atLeast(step.view.pictures, this.#zoom.width * Math.min(devicePixelRatio, 2) * 0.9);
    if (this.#shown && this.#shown.width >= wanted.width) return;
    const turn = ++this.#turn;
    byID('trouble').hidden = true;
    byID('progress').hidden = false;
    byID('progress').value = 0;
    try {
      const blob = await this.#pictures.get(wanted.file, (part) => {
        if (turn === this.#turn) byID('progress').value = part;
      });
      if (turn !== this.#turn) return;
      await showBlob(this.#picture, blob);
      this.#shown = wanted;
      this.#picture.hidden = false;
      this.#draw();
      this.#next();
    } catch (e) {
      if (turn !== this.#turn) return;
      byID('trouble').textContent = sentence(e);
      byID('trouble').hidden = false;
    } finally {
      if (turn === this.#turn) byID('progress').hidden = true;
    }
  }

  // The next picture comes while this one is looked at.
  #next() {
    const next = this.#steps[this.#index + 1];
    if (next) this.#pictures.get(atLeast(next.view.pictures, this.#stage.clientWidth).file).catch(() => {});
  }

  #resize() {
    if (!this.#dialog.open) return;
    this.#zoom.resize(this.#stage.clientWidth, this.#stage.clientHeight);
    this.#draw();
  }

  #draw() {
    const z = this.#zoom;
    const s = this.#picture.style;
    s.width = `${z.width}px`;
    s.height = `${z.height}px`;
    s.setProperty('--x', `${z.x}px`);
    s.setProperty('--y', `${z.y}px`);
    this.#stage.toggleAttribute('data-close', !z.whole);
    this.#able('whole', !z.whole);
    this.#able('smaller', !z.whole);
    this.#able('larger', z.zoom < z.closest);
    const { plate } = this.#steps[this.#index];
    // A scan may show more than the plate; the long sides are the nearer match.
    const long = Math.max(plate.width_mm, plate.height_mm);
    byID('scale').hidden = plate.size_unknown ?? false;
    const bar = scaleBar(Math.max(z.width, z.height) / long, BAR);
    byID('bar').style.width = `${bar.pixels}px`;
    byID('mm').textContent = say('millimetres', { n: number(bar.mm) });
  }

  #zoomBy(factor, x = 0, y = 0) {
    this.#zoom.by(factor, x, y);
    this.#draw();
    this.#load();
    byID('zoom').textContent = say('zoom_level', { n: number(this.#zoom.zoom, { maximumFractionDigits: 1 }) });
  }

  #whole() {
    this.#zoom.reset();
    this.#draw();
    byID('zoom').textContent = say('zoom_whole');
  }

  // The room, since a dialog itself may not be shown full screen.
  #fullScreen() {
    if (document.fullscreenElement) document.exitFullscreen();
    else byID('room').requestFullscreen().catch(() => { byID('full').hidden = true; });
  }

  #key(event) {
    if (event.ctrlKey || event.metaKey || event.altKey) return;
    const act = this.#actOf(event);
    if (!act) return;
    event.preventDefault();
    act();
  }

  #actOf({ key, target }) {
    const whole = this.#zoom.whole;
    const move = (dx, dy) => () => {
      this.#zoom.move(dx * this.#stage.clientWidth * 0.2, dy * this.#stage.clientHeight * 0.2);
      this.#draw();
    };
    const go = { ArrowLeft: -1, ArrowRight: 1, PageUp: -1, PageDown: 1 }[key];
    if (key.startsWith('Page') || (whole && go)) return () => this.#go(go);
    const pan = { ArrowLeft: [1, 0], ArrowRight: [-1, 0], ArrowUp: [0, 1], ArrowDown: [0, -1] }[key];
    if (pan && !whole) return move(...pan);
    // Single characters only while the picture has the focus (WCAG 2.1.4).
    if (target !== this.#stage) return null;
    return { '+': () => this.#zoomBy(STEP), '=': () => this.#zoomBy(STEP), '-': () => this.#zoomBy(1 / STEP), 0: () => this.#whole() }[key];
  }
}
