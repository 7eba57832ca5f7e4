// The settings of a plate: what each is called, what it can be, and how it is
// asked for. Keys are those of the plate record.

import { chooseMany, chooseOne, typeNumber, typeText } from './sheets.mjs';

/** Words of the record as a person says them. */
export const said = (word) => ({ 'glass-negative': 'glass negative', 'still-life': 'still life' })[word] ?? word.replaceAll('-', ' ');

const other = '\u0000other';
const none = '\u0000none';

const words = (key) => (state) => (state.words[key] ?? []).map((w) => ({ value: w, name: said(w) }));

const batch = (kind) => (state) =>
  (state.batches[kind] ?? []).map((b) => ({
    value: b.id,
    name: b.id,
    note: [b.note, kind === 'bath' ? `${b.plates} plates` : `mixed ${b.mixed}`].filter(Boolean).join(' · '),
  }));

/** In the order of the grid. ask: how a value is taken. */
export const settings = [
  { key: 'format', name: 'Size', choices: (s) => s.formats.map((f) => ({ value: f.id, name: f.name })) },
  { key: 'support', name: 'Made of', choices: words('support') },
  { key: 'purpose', name: 'For', choices: words('purpose') },
  { key: 'batches.collodion', name: 'Collodion', choices: batch('collodion') },
  { key: 'batches.bath', name: 'Bath', choices: batch('bath') },
  { key: 'batches.developer', name: 'Developer', choices: batch('developer') },
  { key: 'batches.fixer', name: 'Fixer', choices: batch('fixer') },
  { key: 'batches.varnish', name: 'Varnish', choices: batch('varnish') },
  { key: 'lens', name: 'Lens', choices: (s) => s.lenses.map((l) => ({ value: l.id, name: l.id, note: l.focal_mm ? `${l.focal_mm} mm` : '' })) },
  { key: 'exposure.stop', name: 'Stop', before: 'f/', number: { steps: [] }, choices: (s) => s.stops.map((v) => ({ value: v, name: `f/${v}` })) },
  { key: 'exposure.magnification', name: 'Magnification', number: { steps: [0.05] } },
  { key: 'light.kind', name: 'Light', free: true, choices: (s) => s.lights.map((v) => ({ value: v, name: v })) },
  { key: 'light.ev100', name: 'EV at ISO 100', number: { minus: true, steps: [0.5, 0.1] } },
  { key: 'light.lux', name: 'Lux', number: {} },
  { key: 'air.temperature_c', name: 'Air', after: ' °C', number: { minus: true, unit: '°C', steps: [1] } },
  { key: 'air.humidity_pct', name: 'Humidity', after: ' %', number: { unit: '%', steps: [5] } },
  { key: 'development.temperature_c', name: 'Developer is', after: ' °C', number: { minus: true, unit: '°C', steps: [1] } },
  { key: 'camera', name: 'Camera', free: true, choices: (s) => s.cameras.map((v) => ({ value: v, name: v })) },
  { key: 'varnished', name: 'Varnished', choices: () => [{ value: 'now', name: 'Now', note: 'the cure clock starts' }] },
  { key: 'title', name: 'Title', own: true },
  { key: 'notes', name: 'Notes', own: true },
];

/** Keys that stay with one plate. */
const ownKeys = new Set(['title', 'alt', 'notes', 'judged', 'outcome', 'flaws', 'made', 'varnished', 'exposure.seconds', 'development.seconds', 'plate', 'tags']);

/** What carries over from one plate to the next. */
export function carried(values) {
  const out = {};
  for (const [key, value] of Object.entries(values)) {
    if (!ownKeys.has(key) && !(key === 'purpose' && value === 'test')) out[key] = value;
  }
  return out;
}

/** A value as it stands on its tile. */
export function shown(setting, value) {
  if (!value) return '–';
  if (setting.key === 'varnished') return new Date(value).toLocaleTimeString([], { hour: '2-digit', minute: '2-digit' });
  const word = setting.key === 'support' || setting.key === 'purpose' ? said(value) : value;
  return (setting.before ?? '') + word + (setting.after ?? '');
}

/**
 * Asks for a value of a setting.
 * @returns {Promise<string|undefined>} undefined leaves it, "" takes it out
 */
export async function ask(setting, state, current) {
  if (setting.number) {
    const choices = setting.choices?.(state) ?? [];
    if (choices.length) {
      const all = [...choices, { value: other, name: 'Another …' }, { value: none, name: 'Not noted' }];
      const got = await chooseOne(setting.name, all, current);
      if (got === none) return '';
      if (got !== other) return got;
    }
    return typeNumber(setting.name, current, setting.number);
  }
  if (!setting.choices) return typeText(setting.name, current);
  const choices = setting.choices(state);
  if (setting.free) {
    const got = await chooseOne(setting.name, [...choices, { value: other, name: 'Another …' }, { value: none, name: 'Not noted' }], current);
    if (got === none) return '';
    return got === other ? typeText(setting.name, current) : got;
  }
  const got = await chooseOne(setting.name, [...choices, { value: none, name: 'Not noted' }], current);
  if (got === 'now' && setting.key === 'varnished') return new Date().toISOString();
  return got === none ? '' : got;
}

/** Asks for the flaws of a plate. */
export async function askFlaws(state, current) {
  const { values } = await chooseMany(
    'Flaws',
    (state.words.flaws ?? []).map((w) => ({ value: w, name: said(w) })),
    current,
  );
  return [...values];
}

/** The settings in a line or two. */
export function summary(values) {
  const v = (key) => values[key] ?? '';
  return [
    [v('format'), said(v('support'))].filter(Boolean).join(' '),
    v('batches.collodion'),
    [v('lens'), v('exposure.stop') && `f/${v('exposure.stop')}`].filter(Boolean).join(' '),
    [v('light.kind'), v('light.ev100') && `EV ${v('light.ev100')}`].filter(Boolean).join(' '),
  ]
    .filter(Boolean)
    .join(' · ');
}
