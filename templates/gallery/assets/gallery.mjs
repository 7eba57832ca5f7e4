// Opens the gallery that the address names: key from the fragment, list from the
// host, pictures as they come into sight.

import { everyMinute } from './clock.mjs';
import * as door from './door.mjs';
import { openFile, openList, parseList } from './host.mjs';
import { lockedSecret, readFragment } from './keys.mjs';
import { Pictures } from './pictures.mjs';
import { showOpening, showPlates, tickPlates } from './plates.mjs';
import { Trouble } from './trouble.mjs';

async function unlock(outer, key) {
  const inner = outer.files.find((f) => f.name === outer.locked.list);
  return door.askPassphrase(async (passphrase) => {
    const secret = await lockedSecret(key, passphrase, outer.locked);
    try {
      return { list: await parseList(await openFile(inner, secret)), secret };
    } catch (e) {
      throw e.kind === 'unreadable' ? new Trouble('wrong_passphrase') : e;
    }
  });
}

async function enter(options) {
  const key = readFragment(location.hash);
  const outer = await openList(key, options);
  const { list, secret } = outer.locked ? await unlock(outer, key) : { list: outer, secret: key };
  show(list, new Pictures(list, secret), freshener(outer, key));
  if (outer.locked) document.getElementById('title').focus();
}

// A picture that is missing may only have a new name: look once whether the
// list from before is a stale copy out of a cache.
function freshener(outer, key) {
  const before = JSON.stringify(outer);
  let asked = false;
  return async () => {
    if (asked) return;
    asked = true;
    const now = await openList(key, { cache: 'reload' }).catch(() => outer);
    if (JSON.stringify(now) !== before) location.reload();
  };
}

function show(list, pictures, freshen) {
  showOpening(list);
  // Shown before it is filled, so that pictures are chosen for their real size.
  door.close();
  document.getElementById('gallery').hidden = false;
  const { steps, first } = showPlates(list, pictures, freshen);
  everyMinute(() => tickPlates(list));
  // The rest waits for the first picture, which is what people come for.
  first.then(() => import('./tools.mjs')).then(({ start }) => start(list, steps, pictures));
}

async function open(options = {}) {
  door.waiting('opening');
  try {
    await enter(options);
  } catch (e) {
    if (!(e instanceof Trouble)) console.error(e);
    door.trouble(e, () => open({ cache: 'reload' }));
  }
}

if (!document.documentElement.dataset.shut) {
  // Another key typed or pasted over this one.
  addEventListener('hashchange', () => location.reload());
  open();
}
