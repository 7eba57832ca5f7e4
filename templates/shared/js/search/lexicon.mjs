// Term and ending files: sorted terms, front-coded, with their postings.

import { Cursor, damaged, text } from './bytes.mjs';
import { compare } from './fold.mjs';

// Lexicon is one such file, read.
export class Lexicon {
  // withPostings: a term file; else an ending file, which has terms alone.
  constructor(bytes, withPostings) {
    const c = new Cursor(bytes);
    c.kind(withPostings ? 'T' : 'E');
    const count = c.count();
    this.terms = new Array(count);
    this.sizes = new Uint32Array(count);
    let last = new Uint8Array(0);
    for (let i = 0; i < count; i++) {
      const shared = c.number();
      if (shared > last.length) throw damaged();
      const rest = c.slice(c.number());
      const whole = new Uint8Array(shared + rest.length);
      whole.set(last.subarray(0, shared));
      whole.set(rest, shared);
      this.terms[i] = text(whole);
      last = whole;
      if (withPostings) this.sizes[i] = c.number();
    }
    this.bytes = bytes;
    this.places = new Uint32Array(count + 1);
    this.places[0] = c.at;
    for (let i = 0; i < count; i++) this.places[i + 1] = this.places[i] + this.sizes[i];
    if (this.places[count] !== bytes.length) throw damaged();
  }

  // from is the place of the first term not before the given text.
  from(start) {
    let low = 0;
    let high = this.terms.length;
    while (low < high) {
      const mid = (low + high) >> 1;
      if (compare(this.terms[mid], start) < 0) low = mid + 1;
      else high = mid;
    }
    return low;
  }

  // beginning calls visit with the place of each term that begins so.
  beginning(start, visit) {
    for (let i = this.from(start); i < this.terms.length && this.terms[i].startsWith(start); i++) visit(i);
  }

  // postings calls visit(document, weight) for each document of a term, the
  // heavier weights first.
  postings(place, documents, visit) {
    const c = new Cursor(this.bytes, this.places[place], this.places[place + 1]);
    while (c.at < c.end) {
      const head = c.byte();
      list(c, head & 3, documents, (doc) => visit(doc, head >> 2));
    }
  }
}

function list(c, coding, documents, visit) {
  const seen = (doc) => {
    if (doc >= documents) throw damaged();
    visit(doc);
  };
  if (coding === 0) {
    const count = c.count();
    for (let i = 0, next = 0; i < count; i++) {
      const doc = next + c.number();
      seen(doc);
      next = doc + 1;
    }
  } else if (coding === 1) {
    const count = c.count();
    for (let i = 0, next = 0; i < count; i++) {
      const first = next + c.number();
      next = first + c.number() + 1;
      if (next > documents) throw damaged();
      for (let doc = first; doc < next; doc++) visit(doc);
    }
  } else if (coding === 2) {
    const first = c.number();
    const bits = c.slice(c.number());
    for (let i = 0; i < bits.length; i++) {
      for (let b = bits[i], doc = (first + i) * 8; b; b >>= 1, doc++) if (b & 1) seen(doc);
    }
  } else {
    throw damaged();
  }
}
