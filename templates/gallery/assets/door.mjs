// What stands before an opened gallery: waiting, a trouble, the passphrase.

import { passing } from './trouble.mjs';
import { knows, say } from './words.mjs';

const part = (name) => document.getElementById(`door-${name}`);

function only(...names) {
  for (const name of ['status', 'progress', 'trouble', 'form']) part(name).hidden = !names.includes(name);
}

export function waiting(key) {
  part('status').textContent = say(key);
  only('status', 'progress');
}

/** Says a trouble in its sentence; retry is offered where it can help. */
export function trouble(e, retry) {
  part('trouble-text').textContent = sentence(e);
  const help = `help_${e.kind}`;
  part('trouble-help').textContent = knows(help) ? say(help) : say('help_other');
  part('again').hidden = !passing.has(e.kind);
  part('again').onclick = retry;
  only('trouble');
}

/** The sentence for a trouble, also for one that nobody foresaw. */
export function sentence(e) {
  const key = `trouble_${e.kind}`;
  return knows(key) ? say(key, e.values) : say('trouble_other', { what: String(e.message ?? e) });
}

/**
 * Asks for the passphrase until attempt(passphrase) resolves.
 * @param {(passphrase: string) => Promise<T>} attempt throws {Trouble} to ask again
 * @returns {Promise<T>} @template T
 */
export function askPassphrase(attempt) {
  const form = part('form');
  const input = document.getElementById('passphrase');
  const complaint = document.getElementById('passphrase-trouble');
  const show = document.getElementById('passphrase-show');
  const button = form.querySelector('[type=submit]');
  show.onchange = () => { input.type = show.checked ? 'text' : 'password'; };
  only('form');
  input.focus();
  return new Promise((resolve) => {
    form.onsubmit = async (event) => {
      event.preventDefault();
      complaint.textContent = '';
      input.removeAttribute('aria-invalid');
      button.disabled = true;
      part('status').textContent = say('passphrase_trying');
      only('form', 'status');
      try {
        resolve(await attempt(input.value));
        input.value = '';
      } catch (e) {
        complaint.textContent = sentence(e);
        input.setAttribute('aria-invalid', 'true');
        only('form');
        input.focus();
        input.select();
      } finally {
        button.disabled = false;
      }
    };
  });
}

export function close() {
  document.getElementById('door').hidden = true;
}
