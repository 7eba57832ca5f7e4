// Measures how long answers take once the index is in: node pace.mjs FOLDER.
// Prints JSON, milliseconds.

import { readFile } from 'node:fs/promises';
import { join } from 'node:path';

const scripts = new URL('../../../templates/shared/js/search/', import.meta.url);
const { open } = await import(new URL('index.mjs', scripts));
const { search } = await import(new URL('engine.mjs', scripts));

const index = await open(async (name) => new Uint8Array(await readFile(join(process.argv[2], name))));
const queries = [
  ['', {}], ['', { format: ['sixth'], tag: ['hands'] }], ['be', {}], ['beekeeper', {}], ['seated north window', { support: ['glass'] }],
  ['merrikc', {}], ['beekeeper handz sixth', { year: ['2016', '2017'] }], ['s', {}], ['st', {}], ['2021', { light: ['sun'] }],
];
const times = [];
for (let round = 0; round < 12; round++) {
  for (const [text, filters] of queries) {
    const start = performance.now();
    const answer = await search(index, { text, filters: new Map(Object.entries(filters)) });
    const answered = performance.now();
    await answer.counts();
    if (round > 1) times.push({ text, answer: answered - start, whole: performance.now() - start });
  }
}
const at = (key, share) => times.map((t) => t[key]).sort((a, b) => a - b)[Math.min(times.length - 1, Math.floor(times.length * share))];
const slowest = times.reduce((a, b) => (b.whole > a.whole ? b : a));
console.log(JSON.stringify({ answer: at('answer', 0.5), whole: at('whole', 0.5), most: at('whole', 0.95), slowest: slowest.whole, slowestText: slowest.text }));
