// The index of archive/search, read piece by piece as queries need it. Every
// piece is fetched once and kept.

import { IndexError, damaged, text, unpack } from './bytes.mjs';
import { compare } from './fold.mjs';
import { Lexicon } from './lexicon.mjs';
import { Facet } from './facet.mjs';

const version = 1;

// The order of a card's values: cardFields in archive/search/cards.go.
const cardFields = ['url', 'title', 'caption', 'date', 'src', 'src2x', 'width', 'height', 'width2x', 'alt', 'widthMM', 'heightMM'];
const numbers = new Set(['width', 'height', 'width2x', 'widthMM', 'heightMM']);

// fetcher loads files of an index from a folder's address. The directory is
// asked for afresh; the others are named after their content.
export function fetcher(folder) {
  return async (name) => {
    let response;
    try {
      response = await fetch(new URL(name, folder), name.endsWith('.json') ? { cache: 'no-cache' } : {});
    } catch (e) {
      throw new IndexError('The search index could not be fetched.', { cause: e });
    }
    if (!response.ok) throw new IndexError(`The search index could not be fetched (${response.status}).`);
    try {
      return new Uint8Array(await response.arrayBuffer());
    } catch (e) {
      throw new IndexError('The search index could not be fetched whole.', { cause: e });
    }
  };
}

// open reads the directory. load(name) gives a promise of a file's bytes.
export async function open(load) {
  return new Index(load, directory(await load('directory.json')));
}

function directory(bytes) {
  let d;
  try {
    d = JSON.parse(text(bytes));
  } catch (e) {
    throw e instanceof IndexError ? e : damaged(e);
  }
  if (d?.version !== undefined && d.version !== version) {
    throw new IndexError('The search index was made by another version of this site; loading the page again may help.');
  }
  const pairs = (list) => Array.isArray(list) && list.every((p) => Array.isArray(p) && p.length === 2 && p.every((s) => typeof s === 'string'));
  const whole = (n, least) => Number.isInteger(n) && n >= least && n < 1 << 24;
  const c = d?.cards;
  const sound = d && d.version === version && whole(d.documents, 0) && pairs(d.terms) && pairs(d.endings)
    && typeof d.facets === 'object' && d.facets !== null && Object.values(d.facets).every((h) => typeof h === 'string')
    && c && whole(c.shard, 1) && whole(c.group, 1) && Array.isArray(c.data) && typeof c.hashes === 'string'
    && c.hashes.length === 8 * Math.ceil(Math.ceil(d.documents / c.shard) / c.group);
  if (!sound) throw damaged();
  return d;
}

// place finds the file whose range a text falls in.
function place(list, start) {
  let i = Math.max(list.length - 1, 0);
  while (i > 0 && compare(list[i][0], start) > 0) i--;
  return i;
}

class Index {
  #load;
  #dir;
  #pieces = new Map();
  #cards = new Map();

  constructor(load, dir) {
    this.#load = load;
    this.#dir = dir;
    this.documents = dir.documents;
    this.facetNames = Object.keys(dir.facets);
  }

  // piece gives a file, read by make, from memory if it was read before. A
  // failure is not kept.
  #piece(name, make) {
    let p = this.#pieces.get(name);
    if (!p) {
      p = this.#load(`${name}.bin`).then(unpack).then(make);
      p.catch(() => this.#pieces.delete(name));
      this.#pieces.set(name, p);
    }
    return p;
  }

  // lexicons gives the files that may hold terms (or endings) that begin so.
  #lexicons(letter, list, start) {
    const files = [];
    for (let i = place(list, start); i < list.length; i++) {
      if (files.length > 0 && !list[i][0].startsWith(start)) break;
      files.push(this.#lexicon(letter, i, list[i][1]));
    }
    return Promise.all(files);
  }

  #lexicon(letter, i, hash) {
    return this.#piece(`${letter}${i}-${hash}`, (b) => new Lexicon(b, letter === 't'));
  }

  // terms gives the lexicons in which to look for terms with this beginning.
  terms(start) {
    return this.#lexicons('t', this.#dir.terms, start);
  }

  // term gives the one lexicon in which a whole term can be, null if there are
  // no terms at all.
  async term(whole) {
    const list = this.#dir.terms;
    const i = place(list, whole);
    return i < list.length ? this.#lexicon('t', i, list[i][1]) : null;
  }

  // endings gives the lexicons of terms spelt backwards.
  endings(start) {
    return this.#lexicons('e', this.#dir.endings, start);
  }

  // facet gives a facet by its name, null if there is none.
  async facet(name) {
    const hash = Object.hasOwn(this.#dir.facets, name) ? this.#dir.facets[name] : null;
    return hash === null ? null : this.#piece(`f-${name}-${hash}`, (b) => new Facet(b, this.documents));
  }

  // cardNow gives the card of a document if its file is here, else null.
  cardNow(doc) {
    const { shard } = this.#dir.cards;
    const cards = this.#cards.get(Math.floor(doc / shard));
    return cards ? cards[doc % shard] : null;
  }

  // card gives a promise of the card of a document.
  async card(doc) {
    const { shard, group, hashes } = this.#dir.cards;
    const file = Math.floor(doc / shard);
    const g = Math.floor(file / group);
    const expected = Math.min(shard, this.documents - file * shard);
    const cards = await this.#piece(`c${file}-${hashes.slice(8 * g, 8 * g + 8)}`, (b) => this.#read(b, expected));
    this.#cards.set(file, cards);
    return cards[doc % shard];
  }

  #read(bytes, expected) {
    let rows;
    try {
      rows = JSON.parse(text(bytes));
    } catch (e) {
      throw e instanceof IndexError ? e : damaged(e);
    }
    if (!Array.isArray(rows) || rows.length !== expected) throw damaged();
    return rows.map((row) => this.#card(row));
  }

  #card(row) {
    if (!Array.isArray(row)) throw damaged();
    const card = { data: {} };
    cardFields.forEach((field, i) => {
      const value = row[i] ?? (numbers.has(field) ? 0 : '');
      if (typeof value !== (numbers.has(field) ? 'number' : 'string')) throw damaged();
      card[field] = value;
    });
    this.#dir.cards.data.forEach((key, i) => {
      const value = row[cardFields.length + i];
      if (typeof value === 'string' && value !== '') card.data[key] = value;
    });
    return card;
  }
}
