// The page's words: a JSON block that the site's language file filled. Nothing
// a visitor reads is written in a script.

const words = JSON.parse(document.getElementById('words').textContent);
const lang = document.documentElement.lang || 'en';
// "en" alone would give American dates, month first and twelve hours.
const locale = lang === 'en' ? 'en-GB' : lang;

/**
 * The text under key with its {gaps} filled. A text that counts lists its
 * plural forms, "one: {n} plate | other: {n} plates", and values.n chooses.
 */
export function say(key, values = {}) {
  let text = words[key];
  if (text === undefined) throw new Error(`no words for ${key}`);
  if (/(^|\|) *other:/.test(text)) {
    const forms = new Map(text.split('|').map((f) => [f.slice(0, f.indexOf(':')).trim(), f.slice(f.indexOf(':') + 1).trim()]));
    text = forms.get(new Intl.PluralRules(locale).select(values.n)) ?? forms.get('other');
  }
  return text.replace(/\{(\w+)\}/g, (gap, name) => (name in values ? String(values[name]) : gap));
}

/** Whether there are words under key. */
export const knows = (key) => words[key] !== undefined;

export const number = (n, options) => new Intl.NumberFormat(locale, options).format(n);

/** "14 June 2026" of a date or time; a bare date is that day everywhere. */
export function day(value, { year = true } = {}) {
  const options = { day: 'numeric', month: 'long', ...(year && { year: 'numeric' }) };
  if (typeof value === 'string' && /^\d{4}-\d\d-\d\d$/.test(value)) {
    return new Intl.DateTimeFormat(locale, { ...options, timeZone: 'UTC' }).format(new Date(value + 'T00:00:00Z'));
  }
  return new Intl.DateTimeFormat(locale, options).format(new Date(value));
}

/** "15 June, 14:10" in the visitor's own time, with the year when it is another. */
export function moment(value, now = new Date()) {
  const when = new Date(value);
  const time = new Intl.DateTimeFormat(locale, { hour: '2-digit', minute: '2-digit', hourCycle: 'h23' }).format(when);
  return say('moment', { day: day(when, { year: when.getFullYear() !== now.getFullYear() }), time });
}

/** "2.1 MB" */
export function size(bytes) {
  const [unit, n] = bytes < 999_500 ? ['kilobyte', bytes / 1e3] : ['megabyte', bytes / 1e6];
  return number(n, { style: 'unit', unit, maximumFractionDigits: n < 10 && unit === 'megabyte' ? 1 : 0 });
}
