// The page's own sentences, kept in data attributes so that they are
// translated with the rest of the page.

const formatters = new Map();

// formatter gives the page language's formatter of a kind. They are slow to
// make, so each is made once.
function formatter(Kind, options) {
  if (!formatters.has(Kind)) formatters.set(Kind, new Kind(document.documentElement.lang || 'en', options));
  return formatters.get(Kind);
}

// day writes a date as the page's language does.
export function day(date) {
  return formatter(Intl.DateTimeFormat, { dateStyle: 'long', timeZone: 'UTC' }).format(date);
}

// counted gives the sentence for a number in its plural form: data-zero (for
// 0, if there is one), data-one, data-few …, data-other, with {n} filled in.
export function counted(data, prefix, n, fallback = '') {
  const pick = (form) => data[prefix ? prefix + form[0].toUpperCase() + form.slice(1) : form];
  const form = formatter(Intl.PluralRules).select(n);
  const sentence = (n === 0 ? pick('zero') : undefined) ?? pick(form) ?? pick('other') ?? fallback;
  return fill(sentence, { n: number(n) });
}

export function number(n) {
  return formatter(Intl.NumberFormat).format(n);
}

// fill puts values into a sentence's {names}.
export function fill(sentence, values) {
  return sentence.replace(/\{(\w+)\}/g, (whole, name) => (Object.hasOwn(values, name) ? values[name] : whole));
}

// listed joins a few words as the language does, with "or".
export function listed(words) {
  return formatter(Intl.ListFormat, { type: 'disjunction' }).format(words);
}
