// Bytes of an index file, read with every bound checked, so that a cut or
// damaged file ends in an IndexError and never in a wrong answer's silence or
// an endless loop.

// IndexError says in a plain sentence what is wrong with the index.
export class IndexError extends Error {
  constructor(message, options) {
    super(message, options);
    this.name = 'IndexError';
  }
}

export const damaged = (cause) => new IndexError('The search index is damaged or was cut short on its way here.', { cause });

// The largest file that is unpacked: far above what an index has, far below
// what would harm a phone.
const largest = 32 << 20;

// unpack gives the content of a file: gzip as it is stored, or plain where a
// host has already unpacked it.
export async function unpack(bytes) {
  if (bytes.length < 2 || bytes[0] !== 0x1f || bytes[1] !== 0x8b) return bytes;
  if (typeof DecompressionStream === 'undefined') {
    throw new IndexError('This browser is too old to unpack the search index.');
  }
  const parts = [];
  let length = 0;
  try {
    const reader = new Blob([bytes]).stream().pipeThrough(new DecompressionStream('gzip')).getReader();
    for (;;) {
      const { done, value } = await reader.read();
      if (done) break;
      length += value.length;
      if (length > largest) {
        await reader.cancel();
        throw damaged();
      }
      parts.push(value);
    }
  } catch (e) {
    throw e instanceof IndexError ? e : damaged(e);
  }
  if (parts.length === 1) return parts[0];
  const whole = new Uint8Array(length);
  let at = 0;
  for (const p of parts) {
    whole.set(p, at);
    at += p.length;
  }
  return whole;
}

const utf8 = new TextDecoder('utf-8', { fatal: true });

export function text(bytes) {
  try {
    return utf8.decode(bytes);
  } catch (e) {
    throw damaged(e);
  }
}

// Cursor reads numbers and runs of bytes one after the other.
export class Cursor {
  constructor(bytes, at = 0, end = bytes.length) {
    this.bytes = bytes;
    this.at = at;
    this.end = end;
  }

  byte() {
    if (this.at >= this.end) throw damaged();
    return this.bytes[this.at++];
  }

  // number reads unsigned LEB128 up to 2^28, which no index reaches.
  number() {
    let value = 0;
    for (let shift = 0; shift < 28; shift += 7) {
      const b = this.byte();
      value |= (b & 0x7f) << shift;
      if (b < 0x80) return value;
    }
    throw damaged();
  }

  // count reads a number of things that take at least one byte each, so that a
  // damaged one cannot ask for more memory than the file could fill.
  count() {
    const n = this.number();
    if (n > this.end - this.at) throw damaged();
    return n;
  }

  slice(length) {
    if (length > this.end - this.at) throw damaged();
    this.at += length;
    return this.bytes.subarray(this.at - length, this.at);
  }

  kind(letter) {
    if (this.byte() !== letter.charCodeAt(0)) throw damaged();
  }
}
