// Opens RFC 8188 messages (coding aes128gcm) with WebCrypto.

import { Trouble } from './trouble.mjs';

const HEADER = 21; // salt 16, record size 4, length of the key id 1
const TAG = 16;
const MAX_RECORD = 65536;
const AT_ONCE = 16; // records decrypted side by side: 1 MiB

const text = (s) => new TextEncoder().encode(s);

async function derive(ikm, salt) {
  const secret = await crypto.subtle.importKey('raw', ikm, 'HKDF', false, ['deriveBits']);
  const bits = (info, n) => crypto.subtle.deriveBits({ name: 'HKDF', hash: 'SHA-256', salt, info: text(info) }, secret, n);
  const [cek, nonce] = await Promise.all([
    bits('Content-Encoding: aes128gcm\0', 128),
    bits('Content-Encoding: nonce\0', 96),
  ]);
  return {
    key: await crypto.subtle.importKey('raw', cek, 'AES-GCM', false, ['decrypt']),
    nonce: new Uint8Array(nonce),
  };
}

// The nonce of record n: the base XOR n as a 96-bit big-endian integer. A
// message in memory has far fewer than 2^32 records.
function nonceOf(base, n) {
  const iv = base.slice();
  const low = new DataView(iv.buffer, 8);
  low.setUint32(0, low.getUint32(0) ^ n);
  return iv;
}

function unpad(plain, last) {
  let end = plain.length - 1;
  while (end >= 0 && plain[end] === 0) end--;
  if (end < 0 || plain[end] !== (last ? 2 : 1)) throw new Trouble('unreadable');
  return plain.subarray(0, end);
}

/**
 * Opens a message.
 * @param {Uint8Array} message the whole message
 * @param {Uint8Array} ikm the input keying material, not empty
 * @returns {Promise<Uint8Array[]>} the content, one part a record
 * @throws {Trouble} unreadable: wrong key, altered, cut, or no such message
 */
export async function open(message, ikm) {
  if (!ikm.length || message.length < HEADER) throw new Trouble('unreadable');
  const size = new DataView(message.buffer, message.byteOffset).getUint32(16);
  const start = HEADER + message[20];
  if (size < 18 || size > MAX_RECORD || message.length - start < TAG + 1) throw new Trouble('unreadable');
  const { key, nonce } = await derive(ikm, message.subarray(0, 16));
  const count = Math.ceil((message.length - start) / size);
  const record = async (n) => {
    const sealed = message.subarray(start + n * size, Math.min(start + (n + 1) * size, message.length));
    if (sealed.length < TAG + 1) throw new Trouble('unreadable');
    let plain;
    try {
      plain = await crypto.subtle.decrypt({ name: 'AES-GCM', iv: nonceOf(nonce, n) }, key, sealed);
    } catch {
      throw new Trouble('unreadable');
    }
    return unpad(new Uint8Array(plain), n === count - 1);
  };
  const parts = [];
  for (let n = 0; n < count; n += AT_ONCE) {
    const some = Array.from({ length: Math.min(AT_ONCE, count - n) }, (_, i) => record(n + i));
    parts.push(...(await Promise.all(some)));
  }
  return parts;
}
