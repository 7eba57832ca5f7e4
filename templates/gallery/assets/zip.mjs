// Writes ZIP files (PKWARE APPNOTE 6.3) whose members are stored as they are:
// JPEGs do not shrink further.

import { Trouble } from './trouble.mjs';

const LIMIT = 0xffffffff; // beyond it ZIP64 would be needed
const UTF8_NAMES = 0x0800;

const table = Uint32Array.from({ length: 256 }, (_, n) => {
  for (let k = 0; k < 8; k++) n = n & 1 ? 0xedb88320 ^ (n >>> 1) : n >>> 1;
  return n >>> 0;
});

/** CRC-32 of a blob, read in slices. */
export async function crc32(blob) {
  let crc = 0xffffffff;
  for (let at = 0; at < blob.size; at += 1 << 20) {
    for (const b of new Uint8Array(await blob.slice(at, at + (1 << 20)).arrayBuffer())) {
      crc = table[(crc ^ b) & 0xff] ^ (crc >>> 8);
    }
  }
  return (crc ^ 0xffffffff) >>> 0;
}

// MS-DOS date and time: two seconds fine, from 1980, local.
function dosTime(date) {
  const year = Math.min(Math.max(date.getFullYear(), 1980), 2107);
  return {
    time: (date.getHours() << 11) | (date.getMinutes() << 5) | (date.getSeconds() >> 1),
    date: ((year - 1980) << 9) | ((date.getMonth() + 1) << 5) | date.getDate(),
  };
}

// The 26 bytes that a local header and its central directory entry share.
function shared(view, at, m) {
  view.setUint16(at, 20, true); // version needed
  view.setUint16(at + 2, UTF8_NAMES, true);
  view.setUint16(at + 4, 0, true); // stored
  view.setUint16(at + 6, m.when.time, true);
  view.setUint16(at + 8, m.when.date, true);
  view.setUint32(at + 10, m.crc, true);
  view.setUint32(at + 14, m.blob.size, true);
  view.setUint32(at + 18, m.blob.size, true);
  view.setUint16(at + 22, m.name.length, true);
}

function localHeader(m) {
  const view = new DataView(new ArrayBuffer(30));
  view.setUint32(0, 0x04034b50, true);
  shared(view, 4, m);
  return view.buffer;
}

function centralHeader(m) {
  const view = new DataView(new ArrayBuffer(46));
  view.setUint32(0, 0x02014b50, true);
  view.setUint16(4, 20, true); // version made by
  shared(view, 6, m);
  view.setUint32(42, m.offset, true);
  return view.buffer;
}

function end(count, size, offset) {
  const view = new DataView(new ArrayBuffer(22));
  view.setUint32(0, 0x06054b50, true);
  view.setUint16(8, count, true);
  view.setUint16(10, count, true);
  view.setUint32(12, size, true);
  view.setUint32(16, offset, true);
  return view.buffer;
}

/**
 * A ZIP of the members, in their order.
 * @param {{name: string, blob: Blob, date: Date}[]} members
 * @throws {Trouble} too_large: above 4 GiB or 65,535 members
 */
export async function zip(members) {
  const parts = [];
  const directory = [];
  let offset = 0;
  let directorySize = 0;
  for (const { name, blob, date } of members) {
    const m = { name: new TextEncoder().encode(name), blob, when: dosTime(date), crc: await crc32(blob), offset };
    parts.push(localHeader(m), m.name, blob);
    directory.push(centralHeader(m), m.name);
    offset += 30 + m.name.length + blob.size;
    directorySize += 46 + m.name.length;
    if (offset + directorySize + 22 > LIMIT) throw new Trouble('too_large');
  }
  if (members.length > 0xffff) throw new Trouble('too_large');
  return new Blob([...parts, ...directory, end(members.length, directorySize, offset)], { type: 'application/zip' });
}
