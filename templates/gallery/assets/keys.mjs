// From the link's fragment, and a passphrase where there is one, to the key of
// a file. The derivation is the one of archive/seal.

import { Trouble } from './trouble.mjs';

const KEY_BYTES = 16;
const KEY_LETTERS = 22;
const MIN_ROUNDS = 600_000;
const MAX_ROUNDS = 20_000_000;

/** base64url without padding, to bytes; null if it is none. */
export function unbase64url(s) {
  if (!/^[A-Za-z0-9_-]*$/.test(s)) return null;
  try {
    return Uint8Array.from(atob(s.replaceAll('-', '+').replaceAll('_', '/')), (c) => c.charCodeAt(0));
  } catch {
    return null;
  }
}

/**
 * The gallery key out of location.hash.
 * @throws {Trouble} no_key, cut_key, long_key
 */
export function readFragment(hash) {
  // Mail programs like to add a full stop, a bracket or a space to a link.
  const letters = decodeSafely(hash.replace(/^#/, '')).trim().replace(/[.,;:!?)\]>"'»”’]+$/, '');
  if (letters === '') throw new Trouble('no_key');
  if (letters.length < KEY_LETTERS) throw new Trouble('cut_key', { n: letters.length, of: KEY_LETTERS });
  const key = letters.length === KEY_LETTERS ? unbase64url(letters) : null;
  if (!key || key.length !== KEY_BYTES) throw new Trouble('long_key', { n: letters.length, of: KEY_LETTERS });
  return key;
}

function decodeSafely(s) {
  try {
    return decodeURIComponent(s);
  } catch {
    return s;
  }
}

/** The RFC 8188 input keying material of the file called name. */
export async function fileKey(secret, name) {
  const key = await crypto.subtle.importKey('raw', secret, 'HKDF', false, ['deriveBits']);
  const info = new TextEncoder().encode('sandarac sealed file 1\0' + name);
  const params = { name: 'HKDF', hash: 'SHA-256', salt: new Uint8Array(0), info };
  return new Uint8Array(await crypto.subtle.deriveBits(params, key, 128));
}

/**
 * The secret of a locked gallery: the link's key and the stretched passphrase.
 * A passphrase is made of small letters and hyphens; capitals and spaces, which
 * phones like to put in, are forgiven.
 */
export async function lockedSecret(key, passphrase, lock) {
  if (lock.kdf !== 'PBKDF2-HMAC-SHA-256' || !(lock.rounds >= MIN_ROUNDS && lock.rounds <= MAX_ROUNDS)) {
    throw new Trouble('old_page');
  }
  const salt = unbase64url(lock.salt);
  if (!salt || salt.length === 0) throw new Trouble('old_page');
  const typed = passphrase.normalize('NFC').trim().toLowerCase().replace(/[\s\-\u2010-\u2015]+/gu, '-');
  const material = await crypto.subtle.importKey('raw', new TextEncoder().encode(typed), 'PBKDF2', false, ['deriveBits']);
  const params = { name: 'PBKDF2', hash: 'SHA-256', salt, iterations: lock.rounds };
  const stretched = new Uint8Array(await crypto.subtle.deriveBits(params, material, 256));
  const secret = new Uint8Array(key.length + stretched.length);
  secret.set(key);
  secret.set(stretched, key.length);
  return secret;
}
