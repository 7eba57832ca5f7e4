// What is known of a plate only later: when it was varnished, how it was judged.
// It goes into the record that is there, with what this device saw of it, so that
// an edit by hand meanwhile is noticed and stands.

import { ask as askSetting, askFlaws, said, settings, shown } from './settings.mjs';
import { typeText } from './sheets.mjs';
import { newID } from './store.mjs';

const $ = (id) => document.getElementById(id);

/** The keys of a record that this is about. */
export const laterKeys = ['varnished', 'batches.varnish', 'judged', 'outcome', 'flaws'];

const setting = (key) => settings.find((s) => s.key === key);
const list = (text) => (text?.startsWith('[') ? JSON.parse(text) : (text ?? '').split(';').map((s) => s.trim())).filter(Boolean);

/** Whether two values of a key are the same; the order of flaws says nothing. */
function same(key, a = '', b = '') {
  if (key !== 'flaws') return a === b;
  return JSON.stringify(list(a).sort()) === JSON.stringify(list(b).sort());
}

/** A plate's values as they will be once all that is kept here has been sent. */
export function valuesOf(plate, items, stateAt) {
  const values = { ...plate.values };
  for (const i of items) {
    const about = i.kind === 'change' && ((plate.id && i.body.plate === plate.id) || (plate.entry && i.body.of === plate.entry));
    if (about && (i.state === 'waiting' || (i.state === 'sent' && i.sentAt > stateAt))) Object.assign(values, i.body.values);
  }
  return values;
}

/**
 * The view. A plate is {id} of the archive or {entry} of this device, with title
 * and values.
 * @param {(item: object) => Promise<void>} keep puts what was said into the queue
 */
export function makeLater(keep, back) {
  let plate = null;
  let state = null;
  let was = {};
  let is = {};
  let note = '';
  let mending = 0;

  function draw() {
    $('later-title').textContent = plate.title;
    $('later-sum').textContent = [plate.made, plate.format].filter(Boolean).join(' · ');
    const text = (id, key) => {
      $(id).textContent = shown(setting(key), is[key]);
    };
    text('l-varnished-text', 'varnished');
    text('l-varnish-text', 'batches.varnish');
    $('l-flaws-text').textContent = list(is.flaws).map(said).join(', ') || 'none noted';
    $('l-note-text').textContent = note || '–';
    for (const [key, words] of [['judged', state.words.judged], ['outcome', state.words.outcome]]) {
      $(`l-${key}`).querySelector('.row__choices').replaceChildren(
        ...(words ?? []).map((word) => {
          const b = document.createElement('button');
          b.type = 'button';
          b.dataset.value = word;
          b.textContent = said(word);
          b.setAttribute('aria-pressed', String(is[key] === word));
          b.addEventListener('click', () => {
            is[key] = word;
            draw();
          });
          return b;
        }),
      );
    }
    $('l-problem').textContent = '';
  }

  const ask = (id, act) =>
    $(id).addEventListener('click', async () => {
      await act();
      draw();
    });
  ask('l-varnished', () => {
    // A tap, since there is one answer; a second one takes it back.
    is.varnished = is.varnished && is.varnished !== was.varnished ? was.varnished : new Date().toISOString();
    if (is.varnished) is['batches.varnish'] ||= state.last['batches.varnish'];
  });
  ask('l-varnish', async () => {
    const got = await askSetting(setting('batches.varnish'), state, is['batches.varnish']);
    if (got) is['batches.varnish'] = got;
  });
  ask('l-flaws', async () => {
    is.flaws = JSON.stringify(await askFlaws(state, list(is.flaws)));
  });
  ask('l-note', async () => {
    note = (await typeText('Note', note)) ?? note;
  });

  $('later').addEventListener('submit', async (e) => {
    e.preventDefault();
    const changed = laterKeys.filter((k) => is[k] && !same(k, is[k], was[k]));
    if (!changed.length && !note) {
      $('l-problem').textContent = 'Nothing is different yet.';
      return;
    }
    const pick = (from) => Object.fromEntries(changed.filter((k) => from[k]).map((k) => [k, from[k]]));
    const body = { id: newID(), values: pick(is), was: pick(was) };
    if (plate.id) body.plate = plate.id;
    else body.of = plate.entry;
    if (note) body.notes = note;
    const words = changed.map((k) => ({ varnished: 'varnished', 'batches.varnish': is[k], flaws: list(is.flaws).map(said).join(', ') || 'no flaws' })[k] ?? said(is[k]));
    const label = [plate.title, ...words, note && 'note'].filter(Boolean).join(' · ');
    try {
      await keep({ kind: 'change', id: body.id, state: 'waiting', made: Date.now(), label, body }, mending);
    } catch (error) {
      $('l-problem').textContent = `Not saved: ${error.message}. Try again.`;
    }
  });
  $('l-back').addEventListener('click', back);

  return {
    /** Opens a plate; said are values that were chosen before and not taken. */
    open(which, now, values, before = { values: {}, notes: '', seq: 0 }) {
      [plate, state, was, is, note, mending] = [which, now, values, { ...values, ...before.values }, before.notes ?? '', before.seq];
      draw();
    },
  };
}
