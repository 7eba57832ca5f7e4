// How to keep the plates: care lines, the calendar file, the printed card.

import { calendar } from './calendar.mjs';
import { cureSentence } from './clock.mjs';
import { copy, factsOf, supportOf, titleOf } from './plates.mjs';
import { saveBlob } from './save.mjs';
import { day, knows, moment, say } from './words.mjs';

const byID = (id) => document.getElementById(id);

// "Tintype, not varnished", or what holds for every plate of the gallery.
function kindName({ support, varnished }) {
  if (!support) return say('care_every');
  const name = supportOf(support);
  return varnished ? name : say('care_unvarnished', { support: name });
}

function showCare(list) {
  for (const part of list.care) {
    const kind = copy('care-template');
    kind.kind.textContent = kindName(part);
    kind.kind.hidden = list.care.length === 1;
    for (const { key, text, source } of part.lines) {
      const li = document.createElement('li');
      const words = `care_line_${key}`;
      li.append(key && knows(words) ? say(words) : text);
      if (source) {
        const cite = document.createElement('cite');
        cite.className = 'label soft';
        cite.textContent = source;
        li.append(' ', cite);
      }
      kind.lines.append(li);
    }
    byID('care').append(kind.root);
  }
  byID('care-usual').hidden = !list.plates.some((p) => p.cure_usual && p.handle_from);
}

function showCard(list) {
  byID('card-studio').textContent = `${list.studio.name} · ${list.studio.email}`;
  const body = byID('card-plates').tBodies[0];
  list.plates.forEach((plate, i) => {
    const row = body.insertRow();
    const head = document.createElement('th');
    head.scope = 'row';
    head.textContent = titleOf(plate, i);
    row.append(head);
    row.insertCell().textContent = factsOf(plate);
    row.insertCell().textContent = plate.handle_from ? moment(plate.handle_from, new Date(0)) : cureSentence(plate).text;
  });
  byID('print').onclick = () => print();
}

// One event for each moment at which some plates may be handled, and one for the
// gallery's last day.
function eventsOf(list, now) {
  const events = [];
  const when = new Map();
  list.plates.forEach((plate, i) => {
    if (!plate.handle_from || new Date(plate.handle_from) <= now) return;
    when.set(plate.handle_from, [...(when.get(plate.handle_from) ?? []), titleOf(plate, i)]);
  });
  for (const [at, titles] of [...when].sort()) {
    events.push({
      uid: `cure-${Date.parse(at)}-${list.gallery}@sandarac.invalid`,
      at: new Date(at),
      summary: say('event_cure', { n: titles.length }),
      description: say('event_cure_text', { titles: titles.join(', '), studio: list.studio.name, email: list.studio.email }),
    });
  }
  if (list.until) {
    events.push({
      uid: `end-${list.until}-${list.gallery}@sandarac.invalid`,
      day: list.until,
      summary: say('event_end', { studio: list.studio.name }),
      description: say('event_end_text', { day: day(list.until) }),
    });
  }
  return events;
}

function offerCalendar(list) {
  byID('calendar').onclick = () => {
    const now = new Date();
    saveBlob(new Blob([calendar(eventsOf(list, now), now)], { type: 'text/calendar;charset=utf-8' }), 'plates.ics');
  };
}

export function showKeeping(list) {
  showCare(list);
  showCard(list);
  offerCalendar(list);
}
