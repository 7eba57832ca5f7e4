// Files from the host this page came from: fetched, held against the length and
// SHA-256 that the list gives, opened.

import { open } from './aes128gcm.mjs';
import { fileKey } from './keys.mjs';
import { Trouble } from './trouble.mjs';

const MAX_LIST = 16 << 20;

async function request(name, options) {
  let answer;
  try {
    answer = await fetch(name, { credentials: 'same-origin', referrerPolicy: 'no-referrer', ...options });
  } catch (e) {
    if (e.name === 'AbortError') throw e;
    throw new Trouble('offline');
  }
  // Some hosts answer every unknown address with a page.
  const page = (answer.headers.get('Content-Type') ?? '').startsWith('text/html');
  if (answer.status === 404 || answer.status === 410 || (answer.ok && page)) throw new Trouble('missing');
  if (!answer.ok) throw new Trouble('offline');
  return answer;
}

// Reads a body of at most limit bytes; more is refused while it arrives.
async function read(answer, limit, onProgress) {
  const parts = [];
  let length = 0;
  const reader = answer.body.getReader();
  try {
    for (;;) {
      const { done, value } = await reader.read();
      if (done) break;
      length += value.length;
      if (length > limit) {
        await reader.cancel();
        throw new Trouble('damaged');
      }
      parts.push(value);
      onProgress?.(length);
    }
  } catch (e) {
    if (e instanceof Trouble || e.name === 'AbortError') throw e;
    throw new Trouble('offline'); // the connection broke
  }
  const all = new Uint8Array(length);
  let at = 0;
  for (const p of parts) {
    all.set(p, at);
    at += p.length;
  }
  return all;
}

const hex = (bytes) => Array.from(bytes, (b) => b.toString(16).padStart(2, '0')).join('');

/**
 * Fetches and opens one file that a list names.
 * @param {{name: string, length: number, sha256: string}} file
 * @param {Uint8Array} secret
 * @param {{onProgress?: (bytes: number) => void, signal?: AbortSignal, again?: boolean}} options
 * @returns {Promise<Uint8Array[]>} the content, in parts
 * @throws {Trouble} missing, offline, damaged; unreadable: the bytes are those
 * that the list names, but the secret does not open them
 */
export async function openFile(file, secret, { onProgress, signal, again } = {}) {
  const answer = await request(file.name, { signal, cache: again ? 'reload' : 'default' });
  const sealed = await read(answer, file.length, onProgress);
  if (sealed.length !== file.length) throw new Trouble('damaged');
  const sum = hex(new Uint8Array(await crypto.subtle.digest('SHA-256', sealed)));
  if (sum !== file.sha256) throw new Trouble('damaged');
  return open(sealed, await fileKey(secret, file.name));
}

/**
 * Fetches and opens list.bin by the link's key alone. Of a locked gallery it
 * names only the list behind the passphrase.
 * @throws {Trouble} gone, wrong_key, offline, old_page
 */
export async function openList(secret, options = {}) {
  let sealed;
  try {
    sealed = await read(await request('list.bin', options), MAX_LIST);
  } catch (e) {
    throw e.kind === 'missing' ? new Trouble('gone') : e;
  }
  try {
    return parseList(await open(sealed, await fileKey(secret, 'list.bin')));
  } catch (e) {
    throw e.kind === 'unreadable' ? new Trouble('wrong_key') : e;
  }
}

/** @throws {Trouble} old_page: a list of a later version than this page reads */
export async function parseList(parts) {
  const list = JSON.parse(await new Blob(parts).text());
  if (list.sandarac !== 'gallery list 1') throw new Trouble('old_page');
  return list;
}
