// Letters to the studio, begun for the client in their own mail program.

import { titleOf } from './plates.mjs';
import { say } from './words.mjs';

// Longer addresses are cut by some mail programs.
const MAX_PLATES = 12;

/** A mailto: address (RFC 6068); line breaks as CR LF. */
export function mailto(address, subject, body = '') {
  const encode = (s) => encodeURIComponent(s.replace(/\r?\n/g, '\r\n'));
  const to = encodeURIComponent(address).replaceAll('%40', '@');
  return `mailto:${to}?subject=${encode(subject)}${body && `&body=${encode(body)}`}`;
}

function plateLines(list) {
  if (list.plates.length > MAX_PLATES) return say('mail_all_plates', { n: list.plates.length });
  return list.plates.map((p, i) => say('mail_plate', { id: p.id, title: titleOf(p, i) })).join('\n');
}

/** Sets the page's mail links and says what is public now. */
export function offerLetters(list) {
  const set = (id, subject, body) => {
    document.getElementById(id).href = mailto(list.studio.email, subject, body);
  };
  const plates = plateLines(list);
  set('mail-withdraw', say('mail_withdraw_subject'), say('mail_withdraw', { plates }));
  set('mail-widen', say('mail_widen_subject'), say('mail_widen', { plates }));

  const shown = list.plates.map((p, i) => p.public && titleOf(p, i)).filter(Boolean);
  document.getElementById('consent-public').textContent =
    shown.length === 0 ? say('public_none') : say('public_some', { n: shown.length, of: list.plates.length, titles: shown.join(', ') });

  const a = document.createElement('a');
  a.href = mailto(list.studio.email, say('mail_subject'));
  a.textContent = list.studio.email;
  document.getElementById('write').append(say('write', { studio: list.studio.name }) + ' ', a);
}
