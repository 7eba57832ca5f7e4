// Who is in the plate, and whose it is. They hold for one sitting: until somebody
// says that a new one begins, or three hours pass without a plate. They stand on
// the screen above the clocks, since a plate under the wrong name is worse than
// one more tap.

import { chooseMany, chooseOne } from './sheets.mjs';

const sittingMillis = 3 * 60 * 60 * 1000;

export const emptySitting = () => ({ people: [], nobody: false, client: '', clientName: '', touched: 0 });

/** A sitting that is over gives an empty one. */
export function current(sitting, now = Date.now()) {
  if (!sitting || (sitting.touched && now - sitting.touched > sittingMillis)) return emptySitting();
  return sitting;
}

/** What somebody agreed to, in words. */
export function agreed(s) {
  if (!s.portfolio) return 'not to be shown';
  const more = [s.show_name && 'with name', s.promotion && 'for the studio'].filter(Boolean);
  return more.length ? `may be shown, ${more.join(', ')}` : 'may be shown, without name';
}

/** The sitting in a line. */
export function sittingText(sitting) {
  const who = sitting.nobody ? 'Nobody' : sitting.people.map((p) => p.name).join(', ') || 'Nobody named yet';
  return sitting.clientName ? `${who} · for ${sitting.clientName}` : who;
}

const key = (p) => p.id ?? `entry:${p.entry}`;

/**
 * Asks who is in the plate.
 * @param {object} known people whose consent was taken on this device and is not in the state yet
 * @returns {Promise<{sitting: object, consent?: boolean}>} consent: somebody new is to be asked first
 */
export async function askWho(state, sitting, known) {
  const people = [
    ...known.map((p) => ({ ...p, note: 'consent taken here' })),
    ...state.sitters.filter((s) => !known.some((k) => k.id === s.id)).map((s) => ({ id: s.id, name: s.name, note: agreed(s) })),
  ];
  const choices = [
    { value: '\u0000new', name: 'Somebody new: ask for consent', act: 'consent' },
    { value: '\u0000nobody', name: 'Nobody is in it', act: 'nobody' },
    { value: '\u0000over', name: 'A new sitting begins', act: 'over', note: 'takes everybody out' },
    { value: '\u0000client', name: `For: ${sitting.clientName || 'no client'}`, act: 'client', note: 'whose plate it is' },
    ...people.map((p) => ({ value: key(p), name: p.name, note: p.note })),
  ];
  const { values, act } = await chooseMany('In the plate', choices, new Set(sitting.people.map(key)));
  const chosen = people.filter((p) => values.has(key(p))).map(({ id, entry, name }) => (id ? { id, name } : { entry, name }));
  const next = { ...sitting, people: chosen, nobody: sitting.nobody && chosen.length === 0, touched: Date.now() };
  switch (act) {
    case 'consent':
      return { sitting: next, consent: true };
    case 'nobody':
      return { sitting: { ...next, people: [], nobody: true } };
    case 'over':
      return { sitting: { ...emptySitting(), touched: Date.now() } };
    case 'client':
      return { sitting: await askClient(state, next) };
  }
  return { sitting: next };
}

async function askClient(state, sitting) {
  const none = '\u0000none';
  const got = await chooseOne('Whose plate is it', [{ value: none, name: 'No client' }, ...state.clients.map((c) => ({ value: c.id, name: c.name }))], sitting.client || none);
  if (got === undefined) return sitting;
  const client = state.clients.find((c) => c.id === got);
  return { ...sitting, client: client?.id ?? '', clientName: client?.name ?? '' };
}
