// Answers queries from standard input with the engine of the site, one JSON
// line each: {"dir", "queries"} or {"fold": [text]}. The Go tests drive it.

import { readFile } from 'node:fs/promises';
import { join } from 'node:path';
import { createInterface } from 'node:readline';

const scripts = new URL('../../../templates/shared/js/search/', import.meta.url);
const { open } = await import(new URL('index.mjs', scripts));
const { search } = await import(new URL('engine.mjs', scripts));
const { fold, words } = await import(new URL('fold.mjs', scripts));

async function answers({ dir, queries }) {
  const index = await open(async (name) => new Uint8Array(await readFile(join(dir, name))));
  const all = [];
  for (const q of queries) {
    try {
      const { docs, near, counts } = await search(index, { text: q.text, filters: new Map(Object.entries(q.filters ?? {})) });
      const urls = [];
      for (const d of docs) urls.push((await index.card(d)).url);
      const counted = Object.fromEntries([...await counts()].map(([name, values]) => [name, Object.fromEntries(values)]));
      all.push({ urls, near, counts: counted });
    } catch (e) {
      all.push({ error: e.stack });
    }
  }
  return all;
}

for await (const line of createInterface({ input: process.stdin })) {
  const asked = JSON.parse(line);
  const reply = asked.fold ? asked.fold.map((t) => ({ folded: fold(t), words: words(fold(t)) })) : await answers(asked);
  process.stdout.write(`${JSON.stringify(reply)}\n`);
}
