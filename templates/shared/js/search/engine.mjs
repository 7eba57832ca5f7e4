// Queries: words and filters in, documents in order and counts out. The rules
// are in the package comment of archive/search; its tests hold this file
// against a plain search through all documents.

import { fold, words as cut } from './fold.mjs';
import { forgiving, halves, mistakable, oneEdit, reverse } from './misspelling.mjs';

const equal = 4;
const beginning = 2;
const misspelt = 1;

// Words beyond this many are not looked at.
const mostWords = 16;

// search answers a query { text, filters } where filters is a Map from facet
// name to an array of values. The answer:
//   docs    Int32Array of document numbers, best first
//   near    [{ word, found }] for words that matched by a misspelling
//   counts  async () => Map from facet name to Map from value to how many
//           documents would match with that value and the other facets' filters
export async function search(index, { text, filters }) {
  const query = cut(fold(text)).slice(0, mostWords);
  const [byWords, chosen] = await Promise.all([matchWords(index, query), chosenFacets(index, filters)]);
  const failed = failures(index.documents, chosen);
  const docs = ordered(index.documents, byWords.scores, failed);
  return { docs, near: byWords.near, counts: () => counts(index, byWords.scores, chosen, failed) };
}

// matchWords scores the documents: scores[d] is 0 where a word is not met, or
// null if there are no words.
async function matchWords(index, query) {
  if (query.length === 0) return { scores: null, near: [] };
  const found = await Promise.all(query.map((word) => literal(index, word)));
  const widen = async (which) => {
    await Promise.all(query.map(async (word, i) => {
      if (which(i) && !found[i].near && forgiving(word)) found[i].near = await misspellings(index, word);
    }));
  };
  await widen((i) => found[i].hits === 0);
  let scores = combine(index.documents, found);
  if (scores.hits === 0 && query.some((word, i) => !found[i].near && forgiving(word))) {
    await widen(() => true);
    scores = combine(index.documents, found);
  }
  return { scores: scores.total, near: nearWords(index.documents, query, found, scores.total) };
}

// literal finds the terms that are the word or begin with it.
async function literal(index, word) {
  const best = new Uint16Array(index.documents);
  let hits = 0;
  const take = (lexicon, place, factor) => {
    hits++;
    raise(best, lexicon, place, index.documents, factor);
  };
  if ([...word].length === 1) {
    const lexicon = await index.term(word);
    const place = lexicon?.from(word);
    if (lexicon?.terms[place] === word) take(lexicon, place, equal);
  } else {
    for (const lexicon of await index.terms(word)) {
      lexicon.beginning(word, (place) => take(lexicon, place, lexicon.terms[place] === word ? equal : beginning));
    }
  }
  return { best, hits, near: null };
}

function raise(best, lexicon, place, documents, factor) {
  lexicon.postings(place, documents, (doc, weight) => {
    if (best[doc] < weight * factor) best[doc] = weight * factor;
  });
}

// misspellings finds the terms one edit from the word: [{ term, lexicon, place }].
async function misspellings(index, word) {
  const letters = [...word];
  const close = (term) => mistakable(term) && oneEdit(letters, [...term]);
  const { beginning: first, ending, swapped } = halves(word);
  const names = new Set(swapped === null || !mistakable(swapped) || swapped === word ? [] : [swapped]);
  const [forward, backward] = await Promise.all([index.terms(first), index.endings(ending)]);
  for (const lexicon of forward) {
    lexicon.beginning(first, (place) => {
      if (close(lexicon.terms[place])) names.add(lexicon.terms[place]);
    });
  }
  for (const lexicon of backward) {
    lexicon.beginning(ending, (place) => {
      const term = reverse(lexicon.terms[place]);
      if (close(term)) names.add(term);
    });
  }
  const terms = await Promise.all([...names].map(async (term) => {
    const lexicon = await index.term(term);
    const place = lexicon?.from(term);
    return lexicon?.terms[place] === term ? { term, lexicon, place } : null;
  }));
  return terms.filter((t) => t !== null);
}

// combine adds up the words' scores where all of them are met.
function combine(documents, found) {
  const total = new Uint16Array(documents);
  const met = new Uint8Array(documents);
  for (const f of found) {
    f.all = f.best;
    if (f.near && f.near.length > 0) {
      f.all = f.best.slice();
      for (const { lexicon, place } of f.near) raise(f.all, lexicon, place, documents, misspelt);
    }
    for (let d = 0; d < documents; d++) {
      if (f.all[d]) {
        met[d]++;
        total[d] += f.all[d];
      }
    }
  }
  let hits = 0;
  for (let d = 0; d < documents; d++) {
    if (met[d] === found.length) hits++;
    else total[d] = 0;
  }
  return { total, hits };
}

// nearWords tells, for each misspelt word, by which terms it brought in
// documents that it would not have found as written; the most frequent first.
function nearWords(documents, query, found, total) {
  const near = [];
  query.forEach((word, i) => {
    const terms = [];
    for (const { term, lexicon, place } of found[i].near ?? []) {
      let n = 0;
      lexicon.postings(place, documents, (doc) => {
        if (total[doc] && !found[i].best[doc]) n++;
      });
      if (n > 0) terms.push({ term, n });
    }
    terms.sort((a, b) => b.n - a.n || (a.term < b.term ? -1 : 1));
    if (terms.length > 0) near.push({ word, found: terms.map((t) => t.term) });
  });
  return near;
}

async function chosenFacets(index, filters) {
  const names = [...filters.keys()].filter((name) => filters.get(name).length > 0);
  const chosen = await Promise.all(names.map(async (name) => {
    const facet = await index.facet(name);
    return facet && { name, facet, mask: facet.chosen(filters.get(name)) };
  }));
  return chosen.filter((c) => c !== null);
}

// failures gives per document 0 if it meets every chosen facet, the facet's
// place plus 1 if it fails that one alone, 255 if it fails more.
function failures(documents, chosen) {
  const failed = new Uint8Array(documents);
  chosen.forEach(({ facet, mask }, i) => {
    for (let d = 0; d < documents; d++) {
      if (!facet.has(d, mask)) failed[d] = failed[d] === 0 ? i + 1 : 255;
    }
  });
  return failed;
}

// ordered gives the matching documents: by score, then by number, both falling.
function ordered(documents, scores, failed) {
  const keys = new Float64Array(documents);
  let n = 0;
  for (let d = documents - 1; d >= 0; d--) {
    if (failed[d] === 0 && (scores === null || scores[d] > 0)) keys[n++] = (scores === null ? 0 : scores[d]) * documents + d;
  }
  const matching = keys.subarray(0, n);
  if (scores !== null) matching.sort().reverse();
  const docs = new Int32Array(n);
  for (let i = 0; i < n; i++) docs[i] = matching[i] % documents;
  return docs;
}

async function counts(index, scores, chosen, failed) {
  const facets = await Promise.all(index.facetNames.map((name) => index.facet(name)));
  const result = new Map();
  facets.forEach((facet, i) => {
    const own = chosen.findIndex((c) => c.name === index.facetNames[i]) + 1;
    const tally = new Uint32Array(facet.values.length);
    for (let d = 0; d < failed.length; d++) {
      if ((failed[d] === 0 || (own > 0 && failed[d] === own)) && (scores === null || scores[d] > 0)) facet.tally(d, tally);
    }
    result.set(index.facetNames[i], new Map(facet.values.map((v, place) => [v, tally[place]])));
  });
  return result;
}
