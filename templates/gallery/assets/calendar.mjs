// A calendar file (iCalendar, RFC 5545) made in the browser.

const utf8 = new TextEncoder();

/** Text as a property value, section 3.3.11. */
export const escapeText = (s) => s.replace(/[\\;,]/g, '\\$&').replace(/\r\n|\r|\n/g, '\\n');

/** A content line folded to at most 75 octets, section 3.1, no character split. */
export function fold(line) {
  const out = [];
  let piece = '';
  let octets = 0;
  for (const c of line) {
    const n = utf8.encode(c).length;
    if (octets + n > 75) {
      out.push(piece);
      piece = ' ';
      octets = 1;
    }
    piece += c;
    octets += n;
  }
  out.push(piece);
  return out.join('\r\n');
}

const stamp = (date) => date.toISOString().replace(/[-:]|\.\d+/g, '');

function nextDay(date) {
  const d = new Date(date + 'T00:00:00Z');
  d.setUTCDate(d.getUTCDate() + 1);
  return d.toISOString().slice(0, 10);
}

/**
 * A calendar of events. at is a time; day, instead, a date "2026-09-30".
 * @param {{uid: string, at?: Date, day?: string, summary: string, description: string}[]} events
 */
export function calendar(events, now = new Date()) {
  const lines = ['BEGIN:VCALENDAR', 'VERSION:2.0', 'PRODID:-//Sandarac//Gallery//EN', 'CALSCALE:GREGORIAN'];
  for (const e of events) {
    lines.push('BEGIN:VEVENT', `UID:${e.uid}`, `DTSTAMP:${stamp(now)}`);
    if (e.at) {
      lines.push(`DTSTART:${stamp(e.at)}`, 'DURATION:PT15M');
    } else {
      lines.push(`DTSTART;VALUE=DATE:${e.day.replaceAll('-', '')}`, `DTEND;VALUE=DATE:${nextDay(e.day).replaceAll('-', '')}`);
    }
    lines.push(`SUMMARY:${escapeText(e.summary)}`, `DESCRIPTION:${escapeText(e.description)}`, 'TRANSP:TRANSPARENT', 'END:VEVENT');
  }
  lines.push('END:VCALENDAR');
  return lines.map(fold).join('\r\n') + '\r\n';
}
