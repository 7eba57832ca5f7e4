// Words one edit away: a letter added, left out, replaced, or two neighbours
// swapped.

const least = 5;

// forgiving tells whether a query word is long enough to be misspelt. Numbers
// are not misspelt: 20412 is another plate than 20413.
export function forgiving(word) {
  return [...word].length >= least && !/\p{N}/u.test(word);
}

// mistakable tells whether a term may be what a misspelt word stands for.
export function mistakable(term) {
  return [...term].length >= least - 1 && !/\p{N}/u.test(term);
}

// oneEdit tells whether two words, as arrays of characters, differ by one edit.
export function oneEdit(a, b) {
  if (Math.abs(a.length - b.length) > 1) return false;
  let start = 0;
  while (start < a.length && start < b.length && a[start] === b[start]) start++;
  let endA = a.length;
  let endB = b.length;
  while (endA > start && endB > start && a[endA - 1] === b[endB - 1]) { endA--; endB--; }
  const inA = endA - start;
  const inB = endB - start;
  if (inA + inB === 1 || (inA === 1 && inB === 1)) return true;
  return inA === 2 && inB === 2 && a[start] === b[start + 1] && a[start + 1] === b[start];
}

// halves says where every term one edit from a word can be found: one edit
// leaves the first or the last half of the word whole, but for a swap in the
// very middle, which is given as a word of its own.
export function halves(word) {
  const letters = [...word];
  const half = letters.length >> 1;
  const beginning = letters.slice(0, half).join('');
  const ending = letters.slice(letters.length - half).reverse().join('');
  let swapped = null;
  if (letters.length % 2 === 0) {
    const s = [...letters];
    [s[half - 1], s[half]] = [s[half], s[half - 1]];
    swapped = s.join('');
  }
  return { beginning, ending, swapped };
}

// reverse spells a word backwards.
export function reverse(word) {
  return [...word].reverse().join('');
}
