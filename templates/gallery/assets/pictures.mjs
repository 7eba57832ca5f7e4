// The pictures of an opened gallery: each fetched once, a few at a time, and
// kept in memory while there is room.

import { openFile } from './host.mjs';

const AT_ONCE = 3;
const KEEP = 96 << 20; // bytes of pictures kept for stepping back and forth

export class Pictures {
  #secret;
  #files;
  #kept = new Map(); // name to a promise of a blob, least recently used first
  #sizes = new Map();
  #running = 0;
  #waiting = [];

  /** @param {{files: object[]}} list  @param {Uint8Array} secret */
  constructor(list, secret) {
    this.#secret = secret;
    this.#files = new Map(list.files.map((f) => [f.name, f]));
  }

  /** Sealed bytes of a file: what must come over the line. */
  length(name) {
    return this.#files.get(name)?.length ?? 0;
  }

  /**
   * The picture kept under name, as a JPEG blob.
   * @param {string} name  @param {(part: number) => void} onProgress from 0 to 1
   */
  get(name, onProgress) {
    let blob = this.#kept.get(name);
    if (blob) {
      this.#kept.delete(name); // to the end of the queue
    } else {
      blob = this.fetch(name, { onProgress }).then((b) => {
        this.#sizes.set(name, b.size);
        this.#forget();
        return b;
      });
      blob.catch(() => this.#kept.delete(name));
    }
    this.#kept.set(name, blob);
    return blob;
  }

  /** Like get, kept by nobody: for saving. */
  async fetch(name, { onProgress, signal } = {}) {
    const file = this.#files.get(name);
    await this.#turn();
    try {
      const report = onProgress && ((bytes) => onProgress(bytes / file.length));
      let parts;
      try {
        parts = await openFile(file, this.#secret, { onProgress: report, signal });
      } catch (e) {
        if (e.kind !== 'damaged') throw e;
        // A cache between the host and here may hold older bytes.
        parts = await openFile(file, this.#secret, { onProgress: report, signal, again: true });
      }
      return new Blob(parts, { type: 'image/jpeg' });
    } finally {
      this.#running--;
      this.#waiting.shift()?.();
    }
  }

  async #turn() {
    if (this.#running >= AT_ONCE) await new Promise((go) => this.#waiting.push(go));
    this.#running++;
  }

  #forget() {
    let total = 0;
    for (const name of this.#kept.keys()) total += this.#sizes.get(name) ?? 0;
    for (const name of [...this.#kept.keys()]) {
      if (total <= KEEP || this.#kept.size === 1) return;
      const size = this.#sizes.get(name);
      if (size === undefined) continue; // still on its way
      this.#kept.delete(name);
      this.#sizes.delete(name);
      total -= size;
    }
  }
}

/** The smallest picture at least so many device pixels wide, else the widest. */
export function atLeast(pictures, pixels) {
  const byWidth = [...pictures].sort((a, b) => a.width - b.width);
  return byWidth.find((p) => p.width >= pixels) ?? byWidth.at(-1);
}

/** An img that is hidden until it has something to show. */
export function emptyPicture() {
  const img = new Image();
  img.hidden = true;
  img.draggable = false;
  return img;
}

/** Shows a blob in an img; the object URL lives only until it is decoded. */
export async function showBlob(img, blob) {
  const url = URL.createObjectURL(blob);
  try {
    img.src = url;
    await img.decode();
  } finally {
    URL.revokeObjectURL(url);
  }
}
