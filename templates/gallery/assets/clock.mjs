// The cure clock: from when a varnished plate may be handled, and how long that
// still is.

import { moment, say } from './words.mjs';

const MINUTE = 60_000;

/**
 * How long is left, rounded up so that nobody is told too early.
 * @returns {{days: number, hours: number, minutes: number}}
 */
export function left(until, now) {
  const minutes = Math.max(0, Math.ceil((until - now) / MINUTE));
  return { days: Math.floor(minutes / 1440), hours: Math.floor((minutes % 1440) / 60), minutes: minutes % 60 };
}

/** "3 h left" */
export function leftInWords(until, now) {
  const { days, hours, minutes } = left(until, now);
  if (days > 0) return say('left_days', { days, hours });
  if (hours >= 3) return say('left_hours', { hours: minutes > 0 ? hours + 1 : hours });
  if (hours > 0) return say('left_hours_minutes', { hours, minutes });
  return say('left_minutes', { n: minutes });
}

/** The sentence of one plate, and whether it is still curing. */
export function cureSentence(plate, now = new Date()) {
  if (!plate.handle_from) return { curing: false, text: say('cure_unvarnished') };
  const until = new Date(plate.handle_from);
  if (until <= now) return { curing: false, text: say('cure_over') };
  return { curing: true, text: say('cure_wait', { when: moment(until, now), left: leftInWords(until, now) }) };
}

/** Calls tick now and at the start of every minute, until the page is left. */
export function everyMinute(tick) {
  tick();
  const next = () => setTimeout(() => { tick(); next(); }, MINUTE - (Date.now() % MINUTE) + 50);
  next();
  // Timers sleep with a phone.
  document.addEventListener('visibilitychange', () => document.hidden || tick());
}
