// What can go wrong, by kind. Each kind has its plain sentence in the page's
// words under "trouble_" and the kind's name.

export class Trouble extends Error {
  /** @param {string} kind  @param {object} values what the sentence's gaps are filled with */
  constructor(kind, values = {}) {
    super(kind);
    this.kind = kind;
    this.values = values;
  }
}

/** Kinds after which trying again can help. */
export const passing = new Set(['offline', 'missing', 'damaged']);
