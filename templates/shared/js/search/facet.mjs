// A facet file: which values each document has.

import { Cursor, damaged, text } from './bytes.mjs';

export class Facet {
  constructor(bytes, documents) {
    const c = new Cursor(bytes);
    c.kind('F');
    const count = c.count();
    this.values = new Array(count);
    this.places = new Map();
    for (let i = 0; i < count; i++) {
      this.values[i] = text(c.slice(c.number()));
      this.places.set(this.values[i], i);
    }
    if (c.number() !== documents) throw damaged();
    const kind = c.byte();
    if (kind === 1 || kind === 2) this.#column(c, kind, documents);
    else if (kind === 3) this.#lists(c, documents);
    else throw damaged();
    if (c.at !== c.end) throw damaged();
  }

  // All kinds become the same in memory: the values of document d are
  // flat[starts[d]] up to flat[starts[d + 1]].
  #column(c, width, documents) {
    const raw = c.slice(documents * width);
    this.starts = new Uint32Array(documents + 1);
    this.flat = new Uint16Array(documents);
    let n = 0;
    for (let d = 0; d < documents; d++) {
      const code = width === 1 ? raw[d] : raw[2 * d] | (raw[2 * d + 1] << 8);
      if (code > this.values.length) throw damaged();
      if (code > 0) this.flat[n++] = code - 1;
      this.starts[d + 1] = n;
    }
  }

  #lists(c, documents) {
    const counts = c.slice(documents);
    this.starts = new Uint32Array(documents + 1);
    let n = 0;
    for (let d = 0; d < documents; d++) {
      n += counts[d];
      this.starts[d + 1] = n;
    }
    if (n > c.end - c.at) throw damaged();
    this.flat = new Uint16Array(n);
    for (let i = 0; i < n; i++) {
      const place = c.number();
      if (place >= this.values.length) throw damaged();
      this.flat[i] = place;
    }
  }

  // chosen gives one byte a value, 1 for the values of the list.
  chosen(values) {
    const mask = new Uint8Array(this.values.length);
    for (const v of values) {
      const place = this.places.get(v);
      if (place !== undefined) mask[place] = 1;
    }
    return mask;
  }

  // has tells whether a document has any value of the mask.
  has(doc, mask) {
    for (let i = this.starts[doc]; i < this.starts[doc + 1]; i++) if (mask[this.flat[i]]) return true;
    return false;
  }

  // tally adds a document to the counts of its values.
  tally(doc, counts) {
    for (let i = this.starts[doc]; i < this.starts[doc + 1]; i++) counts[this.flat[i]]++;
  }
}
