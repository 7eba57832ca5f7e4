// The list of the day: what is in the archive, what is on its way, and what the
// archive did not take and why.

import { said } from './settings.mjs';

const time = (ms) => new Date(ms).toLocaleTimeString([], { hour: '2-digit', minute: '2-digit' });

function line(title, note, kind) {
  const li = document.createElement('li');
  li.className = `entry entry--${kind}`;
  const head = document.createElement('p');
  head.className = 'entry__title';
  head.textContent = title;
  const tail = document.createElement('p');
  tail.className = 'entry__note label';
  tail.textContent = note;
  li.append(head, tail);
  return li;
}

/** A line that opens its plate, so that more can be said of it. */
function opens(title, note, kind, act) {
  const li = document.createElement('li');
  li.className = `entry entry--open entry--${kind}`;
  const b = document.createElement('button');
  b.type = 'button';
  b.className = 'entry__open';
  const part = (text, name) => {
    const span = document.createElement('span');
    span.className = name;
    span.textContent = text;
    return span;
  };
  b.append(part(title, 'entry__title'), part(note, 'entry__note label'));
  b.addEventListener('click', act);
  li.append(b);
  return li;
}

/** What is said of a plate, in a line. */
function notes(p, values) {
  const varnished = values.varnished ? 'varnished' : '';
  return [p.day, p.made, p.format, values.judged && said(values.judged), values.outcome && said(values.outcome), varnished].filter(Boolean).join(' · ');
}

/**
 * Draws the list.
 * @param {object} state of the server, or null
 * @param {object[]} items of the queue
 * @param {{mend: Function, again: Function, drop: Function, open: Function, values: Function}} on
 */
export function drawToday(list, sum, state, items, on) {
  const out = [];
  for (const item of items.filter((i) => i.state === 'refused')) {
    const li = line(item.label, `Not taken: ${item.why}`, 'refused');
    const tools = document.createElement('div');
    tools.className = 'entry__tools';
    const button = (text, act) => {
      const b = document.createElement('button');
      b.type = 'button';
      b.textContent = text;
      b.addEventListener('click', () => act(item));
      tools.append(b);
    };
    if (item.kind === 'plate') button('Mend it', on.mend);
    if (item.kind === 'change') button('Look again', on.mend);
    button('Send again', on.again);
    button('Throw away', on.drop);
    li.append(tools);
    out.push(li);
  }
  for (const item of items.filter((i) => i.state === 'waiting').reverse()) {
    const note = `${time(item.made)}, kept on this device`;
    if (item.kind === 'plate') out.push(opens(item.label, note, 'waiting', () => on.open({ entry: item.id, title: item.label, values: item.body.values })));
    else out.push(line(item.label, note, 'waiting'));
  }
  const plates = state?.plates ?? [];
  const listed = new Set(plates.map((p) => p.id));
  for (const item of items.filter((i) => i.state === 'sent' && i.kind !== 'picture').reverse()) {
    if (item.kind !== 'plate') {
      if (item.kind === 'consent') out.push(line(item.label, ['in the archive', ...(item.answer.remarks ?? [])].join(' · '), 'sent'));
      continue;
    }
    if (listed.has(item.answer.result)) continue;
    const note = [item.label, ...(item.answer.remarks ?? [])].join(' · ');
    out.push(opens(item.answer.result, note, 'sent', () => on.open({ id: item.answer.result, entry: item.id, title: item.answer.result, values: item.body.values })));
  }
  const there = (p) => opens(p.title ? `${p.id} ${p.title}` : p.id, notes(p, on.values(p)), 'there', () => on.open({ ...p, title: p.id }));
  for (const p of plates) out.push(there({ ...p, day: '' }));
  list.replaceChildren(...out);
  const open = state?.open ?? [];
  document.getElementById('open').hidden = !open.length;
  document.getElementById('open-list').replaceChildren(...open.map(there));
  const waiting = items.filter((i) => i.state === 'waiting').length;
  sum.textContent = [`${plates.length} ${plates.length === 1 ? 'plate' : 'plates'} in the archive`, waiting ? `${waiting} kept here` : ''].filter(Boolean).join(', ');
}
