// What the script does with an index that arrives cut, altered or not at all.
// INDEX is the folder of an index that the Go test has written.

import assert from 'node:assert/strict';
import { readdirSync, readFileSync } from 'node:fs';
import { join } from 'node:path';
import { test } from 'node:test';
import { gunzipSync, gzipSync } from 'node:zlib';

const scripts = new URL('../../../templates/shared/js/search/', import.meta.url);
const { IndexError } = await import(new URL('bytes.mjs', scripts));
const { fetcher, open } = await import(new URL('index.mjs', scripts));
const { search } = await import(new URL('engine.mjs', scripts));
const { Lexicon } = await import(new URL('lexicon.mjs', scripts));
const { Facet } = await import(new URL('facet.mjs', scripts));

const files = new Map(readdirSync(process.env.INDEX).map((name) => [name, new Uint8Array(readFileSync(join(process.env.INDEX, name)))]));

// readAll asks so that every file is read.
async function readAll(load) {
  const index = await open(load);
  const filters = new Map([['format', ['sixth']], ['tag', ['hands', 'nothing']]]);
  for (const text of ['', 'hands', 'be', 'merrikc seated', 'xeated', 'zzzzz', ...'abcdefghijklmnopqrstuvwyz'].map((t) => (t.length === 1 ? `${t}a` : t))) {
    const { docs, counts } = await search(index, { text, filters: text === 'hands' ? filters : new Map() });
    await counts();
    if (text === '') for (const d of docs) await index.card(d);
  }
}

const loading = (changed) => async (name) => {
  if (changed.has(name)) return changed.get(name);
  const bytes = files.get(name);
  assert.ok(bytes, `${name} asked for, which is not in the index`);
  return bytes;
};

// endsPlainly holds that reading succeeds or fails with a plain sentence.
async function endsPlainly(name, bytes, must) {
  try {
    await readAll(loading(new Map([[name, bytes]])));
  } catch (e) {
    assert.ok(e instanceof IndexError, `${name}, ${bytes.length} bytes: ${e.stack}`);
    assert.match(e.message, /^(The search index|This browser) [a-z ;,]+\.$/);
    return;
  }
  assert.ok(!must, `${name} cut to ${bytes.length} of ${files.get(name).length} bytes was taken for whole`);
}

const sample = [...files.keys()].filter((name) => !/^c[1-9]/.test(name));

test('the whole index is read', async () => {
  const asked = new Set();
  await readAll(async (name) => { asked.add(name); return loading(new Map())(name); });
  const missed = sample.filter((name) => !asked.has(name));
  assert.deepEqual(missed, [], 'files that no query of this test reads');
});

for (const name of sample) {
  const whole = files.get(name);
  test(`${name} cut short`, async () => {
    for (const n of [0, 1, 2, 3, 10, whole.length >> 2, whole.length >> 1, whole.length - 9, whole.length - 1]) {
      await endsPlainly(name, whole.slice(0, Math.max(n, 0)), true);
    }
  });

  if (name.endsWith('.json')) continue;
  const plain = new Uint8Array(gunzipSync(whole));
  test(`${name} unpacked by the host`, async () => {
    await readAll(loading(new Map([[name, plain]])));
    for (let i = 0; i < 25; i++) await endsPlainly(name, plain.slice(0, Math.floor(plain.length * i / 25)), true);
  });

  test(`${name} altered`, async () => {
    let seed = 1851;
    const random = (n) => {
      seed = (Math.imul(seed, 1103515245) + 12345) >>> 0;
      return (seed >>> 8) % n;
    };
    for (let i = 0; i < 40; i++) {
      const bytes = plain.slice();
      for (let k = 0; k < 1 + random(3); k++) bytes[random(i < 20 ? Math.min(40, bytes.length) : bytes.length)] = random(256);
      await endsPlainly(name, bytes, false);
    }
    for (const at of [3, 12, whole.length >> 1, whole.length - 6]) {
      const bytes = whole.slice();
      bytes[at] ^= 0x55;
      await endsPlainly(name, bytes, false);
    }
  });
}

test('a file that unpacks without end', async () => {
  const [name] = sample.filter((n) => n.startsWith('t'));
  await endsPlainly(name, new Uint8Array(gzipSync(Buffer.alloc(64 << 20))), true);
});

test('directories of the wrong shape', async () => {
  const good = JSON.parse(new TextDecoder().decode(files.get('directory.json')));
  const wrong = [null, [], 7, {}, { ...good, version: 2 }, { ...good, documents: -1 }, { ...good, documents: 1e9 }, { ...good, documents: good.documents + 500 },
    { ...good, terms: 3 }, { ...good, terms: [['a']] }, { ...good, endings: [[1, 2]] }, { ...good, facets: null }, { ...good, facets: { tag: 3 } },
    { ...good, cards: undefined }, { ...good, cards: { ...good.cards, shard: 0 } }, { ...good, cards: { ...good.cards, hashes: '' } }];
  for (const d of wrong) {
    const bytes = new TextEncoder().encode(JSON.stringify(d));
    await assert.rejects(readAll(loading(new Map([['directory.json', bytes]]))), IndexError, JSON.stringify(d)?.slice(0, 80));
  }
});

test('one file in the place of another', async () => {
  const names = ['t', 'e', 'f', 'c'].map((k) => sample.find((n) => n.startsWith(k)));
  for (const a of names) for (const b of names) if (a !== b) await endsPlainly(a, files.get(b), true);
});

// One term, "a", with the given postings, in an index of 20 documents.
const postings = (...bytes) => {
  const seen = [];
  new Lexicon(Uint8Array.from([0x54, 1, 0, 1, 0x61, bytes.length, ...bytes]), true).postings(0, 20, (doc, weight) => seen.push([doc, weight]));
  return seen;
};

test('lists of documents', () => {
  assert.deepEqual(postings(3 << 2, 2, 4, 0, 1 << 2 | 1, 1, 7, 1), [[4, 3], [5, 3], [7, 1], [8, 1]]);
  assert.deepEqual(postings(1 << 2 | 2, 1, 1, 0b101), [[8, 1], [10, 1]]);
  const wrong = {
    'a document beyond the last': [1 << 2, 1, 20],
    'more than there are bytes for': [1 << 2, 0xff, 0xff, 0x7f, 1],
    'a run beyond the last': [1 << 2 | 1, 1, 18, 2],
    'a run of millions': [1 << 2 | 1, 1, 0, 0xff, 0xff, 0xff, 0x7f],
    'a bit beyond the last': [1 << 2 | 2, 2, 1, 0b10000],
    'a bitmap cut short': [1 << 2 | 2, 0, 3, 1],
    'an unknown coding': [1 << 2 | 3, 1, 1],
    'a number without end': [1 << 2, 0x80, 0x80, 0x80, 0x80, 0x80, 1],
  };
  for (const [what, bytes] of Object.entries(wrong)) assert.throws(() => postings(...bytes), IndexError, what);
});

test('facets', () => {
  const facet = (...bytes) => new Facet(Uint8Array.from([0x46, 1, 1, 0x61, 2, ...bytes]), 2);
  assert.ok(facet(1, 0, 1).has(1, Uint8Array.of(1)));
  const wrong = { 'a place beyond the last': [1, 0, 2], 'the same in a list': [3, 0, 1, 1], 'an unknown kind': [9, 0, 0], 'a byte too many': [1, 0, 0, 0],
    'too few': [2, 0, 0, 0], 'more values than bytes': [3, 200, 200, 0] };
  for (const [what, bytes] of Object.entries(wrong)) assert.throws(() => facet(...bytes), IndexError, what);
});

test('a host that fails', async (t) => {
  const answers = [new Response('', { status: 404 }), Promise.reject(new TypeError('no network')),
    new Response(new ReadableStream({ start(c) { c.error(new Error('cut')); } }))];
  answers[1].catch(() => {});
  for (const a of answers) {
    t.mock.method(globalThis, 'fetch', async () => a);
    await assert.rejects(open(fetcher('https://studio.example/index/')), /^IndexError: The search index could not be fetched( whole| \(404\))?\.$/);
  }
});

test('a failed file is asked for again', async () => {
  let fail = true;
  const index = await open(async (name) => {
    if (fail && name.startsWith('t')) throw new IndexError('The search index could not be fetched.');
    return loading(new Map())(name);
  });
  await assert.rejects(search(index, { text: 'hands', filters: new Map() }), IndexError);
  fail = false;
  assert.ok((await search(index, { text: 'hands', filters: new Map() })).docs.length > 0);
});
