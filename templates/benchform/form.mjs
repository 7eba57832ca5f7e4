// The form: one plate on the screen, what it is kept in, and how it gets away.

import { fetchState, Offline, pair } from './api.mjs';
import { makeClock } from './clock.mjs';
import { makeConsent } from './consent.mjs';
import { makeLater, valuesOf } from './later.mjs';
import { askWho, current, sittingText } from './people.mjs';
import { shrink } from './photo.mjs';
import { makeQueue, undoMillis } from './queue.mjs';
import { ask, askFlaws, carried, said, settings, shown, summary } from './settings.mjs';
import { typeNumber } from './sheets.mjs';
import { newID, openStore } from './store.mjs';
import { drawToday } from './today.mjs';

const $ = (id) => document.getElementById(id);

/** How long what was sent stays in the list of the day. */
const listedMillis = 36 * 60 * 60 * 1000;

const emptyState = {
  studio: 'Bench form', next_id: '', today: '', words: {}, formats: [], batches: {}, lenses: [], lights: [], cameras: [], stops: [], sitters: [], clients: [],
  last: {}, plates: [], open: [], consent: {}, caution: '', cautions: { develop: [], fix: [], deferral: '', first_aid: [] },
};

const store = await openStore();
const kept = async (name, otherwise) => (await store.get(name)) ?? otherwise;

let state = await kept('state', emptyState);
let plate = await kept('plate', null);
let last = await kept('last', { values: {}, seconds: {}, day: '' });
let sitting = current(await kept('sitting', null));
let known = await kept('known', []); // people whose consent was taken here
let undoable = null;
let news = { waiting: 0, refused: 0, offline: false, unpaired: false, trouble: '' };

const localDay = (ms = Date.now()) => new Date(ms).toLocaleDateString('sv-SE');

/** A plate that nothing was noted of yet, with what carries over. */
function freshPlate() {
  const sameDay = last.day === localDay();
  const values = carried({ ...state.last, ...(sameDay ? last.values : {}) });
  return { id: newID(), values, flaws: [], clocks: { exposure: {}, development: {} }, made: 0, picture: null, mending: 0 };
}

/** A new day begins with what the archive carries over, not with yesterday's light. */
plate ??= freshPlate();

const remember = (changes = {}) => store.write({ ...changes, named: { plate, last, sitting, known, ...changes.named } });

// ---------------------------------------------------------------- the plate

const clocks = {};
for (const name of ['exposure', 'development']) {
  const key = `${name}.seconds`;
  const keep = async (change) => {
    Object.assign(plate.clocks[name], change);
    drawClocks();
    await remember();
  };
  clocks[name] = makeClock($(`clock-${name}`), {
    onStart: (started) => {
      if (name === 'exposure') plate.made = started;
      void keep({ started });
    },
    onStop: (seconds) => void keep({ started: 0, seconds }),
    onLast: (seconds) => {
      if (name === 'exposure') plate.made ||= Date.now();
      void keep({ seconds });
    },
    onEdit: async (seconds) => {
      const got = await typeNumber(name === 'exposure' ? 'Exposure in seconds' : 'Development in seconds', seconds, { unit: 's', steps: [1, 0.5] });
      if (got !== undefined) await keep({ seconds: Number(got) > 0 ? Number(got) : 0 });
    },
  });
  clocks[name].key = key;
}

function drawClocks() {
  const before = (key) => Number(last.day === localDay() ? last.seconds[key] : 0) || Number(state.last[key]) || 0;
  for (const [name, clock] of Object.entries(clocks)) {
    clock.set({ ...plate.clocks[name], last: before(clock.key) });
  }
  // The next thing to do stands out.
  const done = (name) => plate.clocks[name].seconds && !plate.clocks[name].started;
  $('view-plate').dataset.step = !done('exposure') ? 'exposure' : !done('development') ? 'development' : 'outcome';
  drawCautions();
}

function setValue(key, value) {
  if (value) plate.values[key] = value;
  else delete plate.values[key];
  if (value && key === 'light.ev100') delete plate.values['light.lux'];
  if (value && key === 'light.lux') delete plate.values['light.ev100'];
}

function tile(setting) {
  const b = document.createElement('button');
  b.type = 'button';
  b.className = 'tile';
  b.id = `set-${setting.key.replaceAll(/[._]/g, '-')}`;
  const name = document.createElement('span');
  name.className = 'tile__key';
  name.textContent = setting.name;
  const value = document.createElement('span');
  value.className = 'tile__value';
  b.append(name, value);
  b.addEventListener('click', async () => {
    const got = await ask(setting, state, plate.values[setting.key]);
    if (got === undefined) return;
    setValue(setting.key, got);
    drawPlate();
    await remember();
  });
  return { setting, value, b };
}

const tiles = settings.map(tile);
$('grid').replaceChildren(...tiles.map((t) => t.b));

function choices(box, values, pressed, act) {
  box.replaceChildren(
    ...values.map((v) => {
      const b = document.createElement('button');
      b.type = 'button';
      b.dataset.value = v;
      b.textContent = said(v);
      if (pressed) b.setAttribute('aria-pressed', String(pressed(v)));
      b.addEventListener('click', () => act(v));
      return b;
    }),
  );
}

function drawChoices() {
  choices($('judged').querySelector('.row__choices'), state.words.judged ?? ['under', 'right', 'over'], (v) => plate.values.judged === v, async (v) => {
    setValue('judged', plate.values.judged === v ? '' : v);
    drawChoices();
    await remember();
  });
  const outcomes = $('outcome').querySelector('.row__choices');
  if (!outcomes.childElementCount) choices(outcomes, ['keeper', 'remake', 'scrapped'], null, save);
}

function drawBath() {
  const bath = (state.batches.bath ?? []).find((b) => b.id === plate.values['batches.bath']);
  // Those of this device that the archive, as it was last asked, does not count yet.
  const counted = new Set((state.plates ?? []).map((p) => p.id));
  const here = queued.filter(
    (i) => i.kind === 'plate' && i.body.values['batches.bath'] === bath?.id && (i.state === 'waiting' || (i.state === 'sent' && localDay(i.made) === state.today && !counted.has(i.answer.result))),
  ).length;
  const plates = (n) => `${n} ${n === 1 ? 'plate' : 'plates'}`;
  $('bath-count').textContent = bath ? plates(bath.since + here) : 'not said';
  $('bath').title = bath ? `${bath.id}: ${plates(bath.plates + here)} in all` : '';
  $('bath').querySelector('.tile__key').textContent = bath ? (bath.action ? `${bath.id}, ${bath.action}` : bath.id) : 'Bath';
}

function drawPlate() {
  $('studio').textContent = state.studio;
  $('plate-title').textContent = plate.mending ? 'Mend this plate' : 'Next plate';
  $('summary').textContent = summary(plate.values) || 'No settings yet: choose them below';
  $('who-text').textContent = sittingText(sitting);
  for (const t of tiles) t.value.textContent = shown(t.setting, plate.values[t.setting.key]);
  $('flaws-text').textContent = plate.flaws.length ? plate.flaws.map(said).join(', ') : 'none noted';
  $('photo-text').textContent = plate.picture ? 'taken' : 'take one';
  drawClocks();
  drawChoices();
  drawBath();
}

/** The caution of the step that comes next stands beside it; the others below. */
function drawCautions() {
  const c = state.cautions;
  const fixer = (state.batches.fixer ?? []).find((b) => b.id === plate.values['batches.fixer']);
  const fixing = $('view-plate').dataset.step === 'outcome';
  const [wash, cyanide] = c.fix;
  $('caution-text').textContent = (fixing ? [wash, fixer?.cyanide && cyanide] : [c.develop[0]]).filter(Boolean).join(' ');
  $('hazards').replaceChildren(
    ...[...c.develop, ...c.fix, ...c.first_aid, c.deferral].filter(Boolean).map((text) => {
      const p = document.createElement('p');
      p.textContent = text;
      return p;
    }),
  );
}

$('bath').addEventListener('click', () => $('set-batches-bath').click());
$('flaws').addEventListener('click', async () => {
  plate.flaws = await askFlaws(state, plate.flaws);
  drawPlate();
  await remember();
});
$('who').addEventListener('click', async () => {
  const got = await askWho(state, sitting, known);
  sitting = got.sitting;
  drawPlate();
  await remember();
  if (got.consent) show('consent');
});
$('photo').addEventListener('change', async (e) => {
  const [file] = e.target.files;
  e.target.value = '';
  if (!file) return;
  $('photo-text').textContent = 'one moment';
  try {
    plate.picture = await shrink(file);
  } catch {
    $('photo-text').textContent = 'this cannot be read';
    return;
  }
  drawPlate();
  await remember();
});

/** The plate as it is sent. */
function entryOf(outcome) {
  const values = { ...plate.values, outcome, made: new Date(plate.made || Date.now()).toISOString() };
  const notes = values.notes ?? '';
  delete values.notes;
  for (const [name, clock] of Object.entries(clocks)) {
    if (plate.clocks[name].seconds) values[clock.key] = String(plate.clocks[name].seconds);
  }
  if (plate.flaws.length) values.flaws = JSON.stringify(plate.flaws);
  if (sitting.client) values.client = sitting.client;
  const body = { id: plate.id, values };
  if (sitting.nobody) body.nobody = true;
  else if (sitting.people.length) body.people = sitting.people;
  if (notes) body.notes = notes;
  return body;
}

/** Stops a clock that still runs, at the moment of a tap elsewhere. */
function stopClocks() {
  for (const c of Object.values(plate.clocks)) {
    if (c.started) Object.assign(c, { seconds: Math.max(0.1, Math.round((Date.now() - c.started) / 100) / 10), started: 0 });
  }
}

let saving = false;

/** The outcome saves the plate: on the device first, then it is sent. */
async function save(outcome) {
  if (saving) return;
  saving = true;
  try {
    stopClocks();
    const body = entryOf(outcome);
    const now = Date.now();
    const what = [plate.values.format, said(plate.values.support ?? '')].filter(Boolean).join(' ');
    const label = [said(outcome), plate.values.title ?? what, sitting.people.map((p) => p.name).join(', ')].filter(Boolean).join(' · ');
    const item = { kind: 'plate', id: body.id, state: 'waiting', heldUntil: now + undoMillis, made: plate.made || now, label, body, plate };
    const add = [item];
    if (plate.picture) add.push({ kind: 'picture', id: newID(), of: body.id, state: 'waiting', made: now, label: 'Picture', blob: plate.picture });
    const before = { plate, last, sitting };
    const secondsOf = (name) => plate.clocks[name].seconds || last.seconds[`${name}.seconds`] || 0;
    last = { values: carried(plate.values), seconds: { 'exposure.seconds': secondsOf('exposure'), 'development.seconds': secondsOf('development') }, day: localDay() };
    sitting = { ...sitting, touched: now };
    const remove = plate.mending ? [plate.mending] : [];
    plate = freshPlate();
    try {
      await remember({ add, remove });
    } catch (error) {
      // The device did not keep it: the plate stays on the screen.
      ({ plate, last, sitting } = before);
      offerUndo(`Not saved: ${error.message}. Try again.`, null);
      return;
    }
    undoable = { add, before };
    offerUndo(`${said(outcome)}: saved on this device`, undoable);
    await refreshQueue();
    drawPlate();
    scrollTo({ top: 0 });
    queue.wake();
  } finally {
    saving = false;
  }
}

let undoTimer = 0;

function offerUndo(text, undo) {
  clearTimeout(undoTimer);
  $('saved-text').textContent = text;
  $('undo').hidden = !undo;
  $('saved').hidden = false;
  undoTimer = setTimeout(() => ($('saved').hidden = true), undoMillis - 200);
}

$('undo').addEventListener('click', async () => {
  const undo = undoable;
  undoable = null;
  $('saved').hidden = true;
  if (!undo) return;
  const items = await store.all();
  if (undo.add.some((a) => items.find((i) => i.seq === a.seq)?.state !== 'waiting' || (a.heldUntil ?? Infinity) < Date.now())) return;
  ({ plate, last, sitting } = undo.before);
  await remember({ remove: undo.add.map((a) => a.seq) });
  await refreshQueue();
  drawPlate();
});

// ---------------------------------------------------------------- the queue

let queued = [];

async function refreshQueue() {
  queued = await store.all();
  drawSync();
  drawToday($('today-list'), $('today-sum'), state, queued, { mend, again, drop, open: openLater, values: (p) => valuesOf(p, queued, state.at ?? 0) });
}

const later = makeLater(
  async (item, mending) => {
    await store.write({ add: [item], remove: mending ? [mending] : [] });
    await refreshQueue();
    show('today');
    queue.wake();
  },
  () => show('today'),
);

function openLater(which, before) {
  later.open(which, state, valuesOf(which, queued, state.at ?? 0), before);
  show('later');
}

/** What was refused of a plate is chosen anew, beside what its record has now. */
async function lookAgain(item) {
  await refreshState();
  const there = [...(state.plates ?? []), ...(state.open ?? [])].find((p) => p.id === item.body.plate);
  const which = there ? { ...there, title: there.id } : { id: item.body.plate, entry: item.body.of, title: item.label, values: item.body.was ?? {} };
  openLater(which, { values: item.body.values, notes: item.body.notes, seq: item.seq });
}

async function mend(item) {
  if (item.kind === 'change') {
    await lookAgain(item);
    return;
  }
  plate = { ...item.plate, mending: item.seq };
  await remember();
  drawPlate();
  show('plate');
}

async function again(item) {
  await store.write({ put: [{ ...item, state: 'waiting' }] });
  await refreshQueue();
  queue.wake();
}

async function drop(item) {
  if (!confirm(`Throw away “${item.label}”? It is nowhere else.`)) return;
  await store.write({ remove: [item.seq] });
  await refreshQueue();
}

function drawSync() {
  const waiting = queued.filter((i) => i.state === 'waiting').length;
  const refused = queued.filter((i) => i.state === 'refused').length;
  const kept = waiting ? `${waiting} kept here` : '';
  let [text, mark] = ['All sent', 'sent'];
  if (waiting) [text, mark] = [kept, 'waiting'];
  if (news.offline) [text, mark] = [kept ? `No connection, ${kept}` : 'No connection', 'offline'];
  if (news.unpaired) [text, mark] = [`Not paired${kept ? `, ${kept}` : ''}`, 'offline'];
  if (news.trouble && !news.offline) [text, mark] = [`The archive does not take it yet${kept ? `, ${kept}` : ''}`, 'offline'];
  if (refused) [text, mark] = [`${refused} to mend`, 'refused'];
  $('sync-text').textContent = text;
  $('sync').dataset.mark = mark;
  $('sync').title = news.trouble;
}

const queue = makeQueue(store, async (told) => {
  news = told;
  // A consent that has arrived is known by its sitter's id from now on.
  if (told.sent?.kind === 'consent') {
    const settle = (p) => (p.entry === told.sent.id ? { id: told.sent.answer.result, name: p.name } : p);
    known = known.map(settle);
    sitting = { ...sitting, people: sitting.people.map(settle) };
    await remember();
  }
  await refreshQueue();
  drawBath();
  if (told.emptied) await refreshState();
});

// ---------------------------------------------------------------- the server

let fetching = false;

async function refreshState() {
  if (fetching) return;
  fetching = true;
  try {
    const { status, body } = await fetchState();
    news.offline = false;
    news.unpaired = status === 401;
    news.trouble = status === 200 || status === 401 ? '' : (body.message ?? 'the server has trouble');
    if (status === 401 && !$('view-pair').dataset.asked) {
      $('view-pair').dataset.asked = 'once';
      show('pair');
    }
    if (status === 200) {
      const first = !state.today;
      state = { ...body, at: Date.now() };
      const untouched = !plate.made && !plate.mending && !plate.values.judged && !plate.flaws.length && !plate.picture;
      if (untouched && (first || last.day !== localDay())) plate = { ...freshPlate(), id: plate.id };
      await store.write({ named: { state, plate } });
      $('plain').hidden = !state.plain;
    }
  } catch (error) {
    if (!(error instanceof Offline)) throw error;
    news.offline = true;
  } finally {
    fetching = false;
  }
  drawPlate();
  await refreshQueue();
}

async function tryPair(code) {
  $('pair-problem').textContent = '';
  try {
    const { status, body } = await pair(code);
    if (status !== 200) {
      $('pair-problem').textContent = `${body.message}.`;
      return;
    }
    news.unpaired = false;
    $('pair').reset();
    show('plate');
    await refreshState();
    queue.wake();
  } catch (error) {
    if (!(error instanceof Offline)) throw error;
    $('pair-problem').textContent = 'No connection to the studio’s computer.';
  }
}

$('pair').addEventListener('submit', (e) => {
  e.preventDefault();
  void tryPair($('pair-code').value);
});

// ---------------------------------------------------------------- the views

const consent = makeConsent(async (item, person) => {
  sitting = { ...sitting, people: [...sitting.people, person], nobody: false, touched: Date.now() };
  known = [person, ...known].slice(0, 30);
  await remember({ add: [item] });
  await refreshQueue();
  drawPlate();
  show('plate');
  queue.wake();
});

function show(view) {
  for (const section of document.querySelectorAll('.view')) section.hidden = section.id !== `view-${view}`;
  for (const b of document.querySelectorAll('.tabs button')) {
    if (b.dataset.view === view) b.setAttribute('aria-current', 'page');
    else b.removeAttribute('aria-current');
  }
  document.body.dataset.view = view;
  $('saved').hidden = true;
  if (view === 'consent') consent.reset(state);
  scrollTo({ top: 0 });
  if (view !== 'plate') $(`view-${view}`).querySelector('h2').focus({ preventScroll: true });
}

for (const b of document.querySelectorAll('.tabs button')) b.addEventListener('click', () => show(b.dataset.view));
$('sync').addEventListener('click', () => {
  if (news.unpaired) {
    show('pair');
    return;
  }
  show('today');
  queue.wake();
  void refreshState();
});

addEventListener('online', () => {
  queue.wake();
  void refreshState();
});
document.addEventListener('visibilitychange', () => {
  if (document.visibilityState !== 'visible') return;
  sitting = current(sitting);
  drawPlate();
  queue.wake();
});

// ---------------------------------------------------------------- beginning

$('fragile').hidden = store.keeps;
drawPlate();
drawCautions();
await store.write({ remove: (await store.all()).filter((i) => i.state === 'sent' && Date.now() - i.sentAt > listedMillis).map((i) => i.seq) });
await refreshQueue();

const code = new URLSearchParams(location.hash.slice(1)).get('pair');
if (code) {
  history.replaceState(null, '', location.pathname);
  await tryPair(code);
} else {
  await refreshState();
}
queue.wake();
document.body.dataset.ready = 'true';

if ('serviceWorker' in navigator && isSecureContext) {
  // So that the page opens without a connection; a plain network address has none.
  navigator.serviceWorker.register('worker.js').catch(() => {});
}
if (navigator.storage?.persist) void navigator.storage.persist();
