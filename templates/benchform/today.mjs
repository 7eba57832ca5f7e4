// The list of the day: what is in the archive, what is on its way, and what the
// archive did not take and why.

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

/**
 * Draws the list.
 * @param {object} state of the server, or null
 * @param {object[]} items of the queue
 * @param {{mend: Function, drop: Function}} on
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
    button('Send again', on.again);
    button('Throw away', on.drop);
    li.append(tools);
    out.push(li);
  }
  for (const item of items.filter((i) => i.state === 'waiting').reverse()) {
    out.push(line(item.label, `${time(item.made)}, kept on this device`, 'waiting'));
  }
  const plates = state?.plates ?? [];
  const listed = new Set(plates.map((p) => p.id));
  for (const item of items.filter((i) => i.state === 'sent' && i.kind !== 'picture').reverse()) {
    if (item.kind === 'plate' && listed.has(item.answer.result)) continue;
    out.push(line(item.kind === 'plate' ? item.answer.result : item.label, [item.kind === 'plate' ? item.label : 'in the archive', ...(item.answer.remarks ?? [])].join(' · '), 'sent'));
  }
  for (const p of plates) {
    out.push(line(p.id, [p.made, p.format, p.judged, p.outcome].filter(Boolean).join(' · '), 'there'));
  }
  list.replaceChildren(...out);
  const waiting = items.filter((i) => i.state === 'waiting').length;
  sum.textContent = [`${plates.length} ${plates.length === 1 ? 'plate' : 'plates'} in the archive`, waiting ? `${waiting} kept here` : ''].filter(Boolean).join(', ');
}
