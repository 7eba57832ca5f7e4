// Saving scans: one, or all in a ZIP made here in the browser.

import { sentence } from './door.mjs';
import { copy } from './plates.mjs';
import { say, size } from './words.mjs';
import { zip } from './zip.mjs';

/** Hands a blob to the browser's downloads. */
export function saveBlob(blob, name) {
  const url = URL.createObjectURL(blob);
  const a = document.createElement('a');
  a.href = url;
  a.download = name;
  a.click();
  // The browser reads the blob after this click has been handled.
  setTimeout(() => URL.revokeObjectURL(url), 60_000);
}

/** A button under each plate for each of its scans. */
export function offerEach(steps, pictures) {
  for (const step of steps) {
    const { file, save_as: name, width, height } = step.view.download;
    const offer = copy('save-template');
    offer.save.textContent = say('save_one');
    offer.save.setAttribute('aria-label', say('save_one_named', { title: step.title }));
    offer.size.textContent = say('save_size', { size: size(pictures.length(file)), width, height });
    offer.save.onclick = () => saveOne(offer, file, name, pictures);
    step.saves.append(offer.root);
  }
}

async function saveOne(offer, file, name, pictures) {
  offer.save.disabled = true;
  const report = (part) => { offer.status.textContent = say('save_coming', { n: Math.floor(part * 100) }); };
  try {
    saveBlob(await pictures.fetch(file, { onProgress: report }), name);
    offer.status.textContent = say('save_done', { name });
  } catch (e) {
    offer.status.textContent = sentence(e);
  } finally {
    offer.save.disabled = false;
  }
}

const byID = (id) => document.getElementById(id);

// Fetches every scan; those that cannot be opened are told, not left out in silence.
async function fetchAll(steps, pictures, signal, onProgress) {
  const total = steps.reduce((sum, s) => sum + pictures.length(s.view.download.file), 0);
  const members = [];
  const lost = [];
  let done = 0;
  for (const step of steps) {
    const { file, save_as: name } = step.view.download;
    const length = pictures.length(file);
    try {
      const blob = await pictures.fetch(file, { signal, onProgress: (part) => onProgress((done + part * length) / total, members.length + 1) });
      members.push({ name, blob, date: new Date(step.plate.made) });
    } catch (e) {
      if (e.name === 'AbortError') throw e;
      lost.push(say('save_lost', { title: step.title, why: sentence(e) }));
    }
    done += length;
  }
  return { members, lost };
}

/** The button that saves all, with progress and a way to stop. */
export function offerAll(list, steps, pictures) {
  const button = byID('save-all');
  button.onclick = async () => {
    const stop = new AbortController();
    button.disabled = true;
    byID('saving').hidden = false;
    byID('saving-progress').hidden = byID('saving-stop').hidden = false;
    byID('saving-stop').onclick = () => stop.abort();
    let said = 0;
    const report = (part, n) => {
      byID('saving-progress').value = part;
      if (n !== said) byID('saving-status').textContent = say('saving', { i: n, of: steps.length });
      said = n;
    };
    try {
      const { members, lost } = await fetchAll(steps, pictures, stop.signal, report);
      if (members.length > 0) saveBlob(await zip(members), list.save_as);
      const all = members.length === steps.length;
      byID('saving-status').textContent = all ? say('save_done', { name: list.save_as }) : [say('saved_some', { n: members.length, of: steps.length }), ...lost].join(' ');
    } catch (e) {
      byID('saving-status').textContent = e.name === 'AbortError' ? say('save_stopped') : sentence(e);
    } finally {
      button.disabled = false;
      byID('saving-progress').hidden = byID('saving-stop').hidden = true;
      button.focus();
    }
  };
}
