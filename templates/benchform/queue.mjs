// Sends what is kept on the device, in the order it was made, until the server
// has answered each. What the server refuses stays on the device to be mended and
// does not hold up what follows it; what it does not answer is sent again.

import { Offline, send } from './api.mjs';

/** How long an entry waits on the device so that it can be undone. */
export const undoMillis = 6000;

const longestWait = 30_000;

/**
 * @param {object} store of store.mjs
 * @param {(news: object) => void} tell is told of every change
 */
export function makeQueue(store, tell) {
  let running = false;
  let again = false;
  let wait = 1000;
  let timer = 0;
  const state = { waiting: 0, refused: 0, offline: false, unpaired: false, trouble: '' };

  const later = (millis) => {
    clearTimeout(timer);
    timer = setTimeout(run, millis);
  };

  async function count() {
    const items = await store.all();
    state.waiting = items.filter((i) => i.state === 'waiting').length;
    state.refused = items.filter((i) => i.state === 'refused').length;
    tell({ ...state });
  }

  /** Sends one item and says whether the next one may follow. */
  async function one(item) {
    const { status, body } = await send(item);
    state.offline = state.unpaired = false;
    state.trouble = '';
    if (status === 200) {
      const kept = { ...item, state: 'sent', answer: body, sentAt: Date.now() };
      delete kept.blob;
      delete kept.plate;
      await store.write({ put: [kept] });
      tell({ ...state, sent: kept });
      return true;
    }
    if (status === 401) {
      state.unpaired = true;
      return false;
    }
    // What cannot become better by waiting stays here, to be mended.
    if ([400, 404, 409, 413, 415, 422].includes(status)) {
      await store.write({ put: [{ ...item, state: 'refused', why: body.message, reasons: body.reasons ?? [] }] });
      return true;
    }
    state.trouble = body.message ?? `the server answered ${status}`;
    return false;
  }

  async function pass() {
    let sent = 0;
    for (;;) {
      const item = (await store.all()).find((i) => i.state === 'waiting');
      if (!item) break;
      const held = (item.heldUntil ?? 0) - Date.now();
      if (held > 0) {
        later(held + 20);
        return;
      }
      let goesOn = false;
      try {
        goesOn = await one(item);
      } catch (error) {
        if (!(error instanceof Offline)) throw error;
        state.offline = true;
      }
      await count();
      if (!goesOn) {
        later(wait);
        wait = Math.min(wait * 2, longestWait);
        return;
      }
      wait = 1000;
      sent++;
    }
    await count();
    if (sent) tell({ ...state, emptied: true });
  }

  async function run() {
    if (running) {
      again = true;
      return;
    }
    running = true;
    clearTimeout(timer);
    try {
      do {
        again = false;
        await pass();
      } while (again);
    } catch (error) {
      state.trouble = error.message;
      tell({ ...state });
      later(longestWait);
    } finally {
      running = false;
    }
  }

  return {
    count,
    /** Looks at once whether something can be sent. */
    wake() {
      wait = 1000;
      void run();
    },
  };
}
