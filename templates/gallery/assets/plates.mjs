// The opened gallery's page: its title, its plates, their pictures and clocks.

import { cureSentence, leftInWords } from './clock.mjs';
import { sentence } from './door.mjs';
import { atLeast, emptyPicture, showBlob } from './pictures.mjs';
import { day, knows, moment, number, say, size } from './words.mjs';

const byID = (id) => document.getElementById(id);
const leaves = new Map(); // plate of the list to its leaf on the page

/** A copy of a template with its marked parts. */
export function copy(id) {
  const root = byID(id).content.firstElementChild.cloneNode(true);
  const parts = { root };
  for (const e of root.querySelectorAll('[data-part]')) parts[e.dataset.part] = e;
  return parts;
}

function fill(id, text) {
  byID(id).textContent = text;
  byID(id).hidden = text === '';
}

/**
 * Fills the title page, with what its buttons offer, so that it does not move
 * when the scripts behind them come.
 */
export function showOpening(list) {
  fill('studio', list.studio.name);
  fill('title', list.title || say('untitled_gallery'));
  fill('message', list.message);
  fill('until', list.until ? say('until', { day: day(list.until) }) : '');
  fill('edition', say('edition', {
    generation: list.generation,
    day: day(list.contents_of),
    n: list.plates.length,
  }));
  const views = list.plates.flatMap((p) => p.views);
  const length = new Map(list.files.map((f) => [f.name, f.length]));
  const bytes = views.reduce((sum, v) => sum + length.get(v.download.file), 0);
  fill('save-all', say('save_all', { n: views.length, size: size(bytes) }));
  byID('calendar').hidden = !list.until && !list.plates.some((p) => new Date(p.handle_from) > new Date());
}

/** "Plate 3" where the studio gave no title. */
export const titleOf = (plate, i) => plate.title || say('untitled_plate', { n: i + 1 });

/** What a plate is made on, in words; of one that the records do not tell, what all are. */
export function supportOf(support) {
  const key = `support_${(support || 'unknown').replace('-', '_')}`;
  return knows(key) ? say(key) : support;
}

/** Support, size and day in words, as far as they are known. */
export function factsOf(plate) {
  const format = `format_${plate.format_slug}`;
  const mm = (v) => number(v, { maximumFractionDigits: 0 });
  return [
    supportOf(plate.support),
    plate.format_slug && (knows(format) ? say(format) : plate.format),
    !plate.size_unknown && say('facts_size', { width: mm(plate.width_mm), height: mm(plate.height_mm) }),
    say('facts_made', { day: day(plate.made) }),
  ].filter(Boolean).join(', ');
}

// Every view of every plate, in the order they are stepped through.
function stepsOf(list) {
  return list.plates.flatMap((plate, i) => plate.views.map((view, v) => ({
    plate,
    view,
    title: plate.views.length > 1 ? say('view_title', { title: titleOf(plate, i), n: v + 1, of: plate.views.length }) : titleOf(plate, i),
    alt: plate.alt || say('untitled_alt', { title: titleOf(plate, i) }),
    facts: factsOf(plate),
  })));
}

/**
 * Lays out the plates. The first picture has the line to itself; the others are
 * fetched as they come near.
 * @returns {{steps: object[], first: Promise<void>}} the steps of the viewer, each
 * with the button that leads to it; and when the first picture is there, or lost
 */
export function showPlates(list, pictures, freshen) {
  const steps = stepsOf(list);
  const scale = scaleOf(list.plates);
  const near = new IntersectionObserver((entries) => {
    for (const e of entries) {
      if (!e.isIntersecting) continue;
      near.unobserve(e.target);
      e.target.load();
    }
  }, { rootMargin: '120% 0px' });
  const rest = [];
  let first;
  list.plates.forEach((plate, i) => {
    const mine = steps.filter((s) => s.plate === plate);
    const leaf = layLeaf(plate, mine, scale);
    const choices = plate.views[0].pictures;
    leaf.open.load = (seen) => loadPicture(leaf, stagesOf(choices, leaf, i === 0), pictures, freshen, seen);
    leaf.again.onclick = () => leaf.open.load();
    byID('plates').append(leaf.root);
    if (i > 0) rest.push(leaf.open);
    else first = new Promise((seen) => { leaf.open.load(seen).then(() => rest.forEach((r) => near.observe(r))); });
  });
  return { steps, first };
}

// The picture that suits the place; the first plate appears small and soft before it is sharp.
function stagesOf(choices, leaf, first) {
  const wanted = atLeast(choices, leaf.open.clientWidth * Math.min(devicePixelRatio, 2));
  return first && wanted !== choices[0] ? [choices[0], wanted] : [wanted];
}

// Two frames on, when what is shown is on the screen and not only in the page.
const painted = () => new Promise((done) => requestAnimationFrame(() => requestAnimationFrame(() => setTimeout(done))));

// Plates keep their proportions to each other, except that the smallest stay
// large enough to be seen on a phone.
function scaleOf(plates) {
  const widest = Math.max(...plates.map((p) => p.width_mm));
  const shown = (p) => Math.max(p.width_mm, 0.66 * widest);
  const highest = Math.max(...plates.map((p) => (p.height_mm * shown(p)) / p.width_mm));
  return (p) => ({ share: shown(p) / widest, rise: shown(p) / highest });
}

function layLeaf(plate, steps, scale) {
  const leaf = copy('plate-template');
  const face = plate.views[0].pictures.at(-1);
  leaf.root.dataset.support = plate.support;
  leaf.title.textContent = steps[0].title;
  leaf.facts.textContent = steps[0].facts;
  leaf.picture = emptyPicture();
  leaf.picture.dataset.part = 'picture';
  leaf.picture.alt = steps[0].alt;
  leaf.picture.width = face.width;
  leaf.picture.height = face.height;
  leaf.open.prepend(leaf.picture);
  leaf.open.setAttribute('aria-label', say('look_closely', { title: steps[0].title }));
  const { share, rise } = scale(plate);
  leaf.root.style.setProperty('--share', share.toFixed(4));
  leaf.root.style.setProperty('--rise', rise.toFixed(4));
  leaf.root.style.setProperty('--ratio', (face.width / face.height).toFixed(4));
  leaves.set(plate, leaf);
  for (const step of steps) Object.assign(step, { opener: leaf.open, saves: leaf.saves });
  return leaf;
}

// Shows the pictures one after the other, and calls seen once there is one, or
// a trouble in its place.
async function loadPicture(leaf, stages, pictures, freshen, seen) {
  leaf.trouble.hidden = true;
  leaf.progress.hidden = false;
  const onProgress = (part) => { leaf.progress.value = part; };
  try {
    for (const choice of stages) {
      await showBlob(leaf.picture, await pictures.get(choice.file, onProgress));
      leaf.picture.hidden = false;
      if (!document.hidden) await painted(); // there are no frames in a tab at the back
      seen?.();
    }
    leaf.open.dataset.shown = '';
  } catch (e) {
    leaf['trouble-text'].textContent = sentence(e);
    leaf.trouble.hidden = false;
    if (e.kind === 'missing') freshen();
  } finally {
    leaf.progress.hidden = true;
    seen?.();
  }
}

/** Brings all clocks up to date. */
export function tickPlates(list, now = new Date()) {
  const waiting = [];
  for (const plate of list.plates) {
    const { curing, text } = cureSentence(plate, now);
    const { cure } = leaves.get(plate);
    cure.textContent = text;
    cure.toggleAttribute('data-curing', curing);
    if (curing) waiting.push(new Date(plate.handle_from));
  }
  const varnished = list.plates.filter((p) => p.handle_from);
  // Once all have hardened it is said in one place.
  for (const plate of varnished) leaves.get(plate).cure.hidden = waiting.length === 0;
  byID('cure').toggleAttribute('data-curing', waiting.length > 0);
  fill('cure', cureOfAll(list, varnished, waiting, now));
}

function cureOfAll(list, varnished, waiting, now) {
  if (varnished.length === 0) return '';
  if (waiting.length === 0) return say('cure_done', { n: varnished.length });
  const last = new Date(Math.max(...waiting));
  const key = waiting.length === list.plates.length ? 'cure_all' : 'cure_some';
  return say(key, { n: waiting.length, when: moment(last, now), left: leftInWords(last, now) });
}
