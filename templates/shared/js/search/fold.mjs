// Text and words as the index has them: the same as Fold and Words in
// archive/search/fold.go, which a test holds together letter by letter.

// Letters that Unicode does not decompose, and signs written in several ways.
const strokes = new Map(Object.entries({
  'ß': 'ss', 'æ': 'ae', 'œ': 'oe', 'ø': 'o', 'ł': 'l', 'đ': 'd', 'ð': 'd',
  'þ': 'th', 'ħ': 'h', 'ŧ': 't', 'ı': 'i', 'ς': 'σ',
  '’': "'", 'ʼ': "'", 'ʻ': "'", '‐': '-',
}));

// fold decomposes (NFKD), removes marks, lowers, and writes out strokes.
export function fold(text) {
  const bare = text.normalize('NFKD').replace(/\p{M}/gu, '');
  // One character at a time: lowering a whole text treats a final sigma apart.
  return bare.replace(/[^\x00-@[-\x7f]/gu, (c) => {
    const lower = c.toLowerCase();
    return strokes.get(lower) ?? lower;
  });
}

// words gives the distinct words of folded text in their order.
export function words(folded) {
  return [...new Set(folded.match(/[\p{L}\p{N}]+/gu) ?? [])];
}

// compare orders text by code points, as UTF-8 bytes do and JavaScript's own
// comparison of surrogates does not.
export function compare(a, b) {
  const n = Math.min(a.length, b.length);
  for (let i = 0; i < n; i++) {
    const x = a.charCodeAt(i);
    const y = b.charCodeAt(i);
    if (x !== y) return rank(x) - rank(y);
  }
  return a.length - b.length;
}

function rank(unit) {
  if (unit < 0xd800) return unit;
  return unit < 0xe000 ? unit + 0x2000 : unit - 0x800;
}
