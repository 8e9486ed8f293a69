/**
 * Which terms may be meant by what was typed so far? The server's survey/vocabulary/lookup.py ranks by the same rules.
 */

/**
 * @typedef {object} SearchedTerm
 * @property {string} code
 * @property {string} name
 * @property {string[]} [also]
 * @property {string[]} [synonyms]
 * @property {boolean} [near] in reach on the deck
 * @property {{word: string, place: number}[]} [everyday] words of common speech that may mean it; place 0 leads to it
 */

/**
 * @template {SearchedTerm} T
 * @typedef {object} Match
 * @property {T} term
 * @property {number} rank higher is nearer
 * @property {string} foundBy the word that matched
 */

/** @typedef {{exact: number, start: number, words: number}} Ranks */

const NAME = { exact: 100, start: 80, words: 70 };
const SYNONYM = { exact: 95, start: 75, words: 65 };
const LEAD = { exact: 98, start: 79 };
const OFFER = { exact: 97, start: 78 };
const WITHIN = 50;
const MISSPELT = 30;
const EVERYDAY_PREFIX_AT_LEAST = 3;
const WITHIN_AT_LEAST = 3;
const ONE_SLIP_FROM = 4;
const TWO_SLIPS_FROM = 8;

/**
 * A name or synonym as it is compared: lower case, no bracket, no punctuation.
 * @param {string} text
 */
export function plainWords(text) {
  return text.split('(')[0].toLowerCase().replace(/['’]/g, '').replace(/[^a-z0-9]+/g, ' ').trim();
}

/**
 * The terms that may be meant, nearest first; an everyday word puts the term that it leads to before those it offers.
 * @template {SearchedTerm} T
 * @param {string} text
 * @param {readonly T[]} terms
 * @param {number} [atMost]
 * @returns {Match<T>[]}
 */
export function searchTerms(text, terms, atMost = 12) {
  const typed = plainWords(text);
  if (!typed) return [];
  /** @type {{rank: number, behind: number, place: number, match: Match<T>}[]} */
  const found = [];
  terms.forEach((term, place) => {
    const way = nearestWay(typed, term);
    if (way) found.push({ ...way, place, match: { term, rank: way.rank, foundBy: way.word } });
  });
  found.sort((a, b) => b.rank - a.rank || a.behind - b.behind
    || Number(b.match.term.near ?? false) - Number(a.match.term.near ?? false) || a.place - b.place);
  return found.slice(0, atMost).map((entry) => entry.match);
}

/**
 * How many slips of typing part two words: a letter more, less, other, or two swapped (optimal string alignment).
 * @param {string} one
 * @param {string} other
 */
export function slipsBetween(one, other) {
  /** @type {number[]} */
  let earlier = [];
  /** @type {number[]} */
  let before = [];
  let row = Array.from({ length: other.length + 1 }, (_, column) => column);
  for (let i = 1; i <= one.length; i += 1) {
    [earlier, before, row] = [before, row, [i]];
    for (let j = 1; j <= other.length; j += 1) {
      const differs = Number(one[i - 1] !== other[j - 1]);
      let least = Math.min(before[j] + 1, row[j - 1] + 1, before[j - 1] + differs);
      if (i > 1 && j > 1 && one[i - 1] === other[j - 2] && one[i - 2] === other[j - 1]) least = Math.min(least, earlier[j - 2] + 1);
      row.push(least);
    }
  }
  return row[other.length];
}

/** @param {string} typed @param {SearchedTerm} term */
function nearestWay(typed, term) {
  /** @type {{rank: number, behind: number, word: string} | null} */
  let best = null;
  for (const way of ways(typed, term)) {
    if (!best || way.rank > best.rank || (way.rank === best.rank && way.behind < best.behind)) best = way;
  }
  return best;
}

/** @param {string} typed @param {SearchedTerm} term */
function* ways(typed, term) {
  for (const { word, place } of term.everyday ?? []) {
    const plain = plainWords(word);
    const exact = typed === plain;
    if (!exact && !(typed.length >= EVERYDAY_PREFIX_AT_LEAST && plain.startsWith(typed))) continue;
    const ranks = place === 0 ? LEAD : OFFER;
    yield { rank: exact ? ranks.exact : ranks.start, behind: Math.max(place - 1, 0), word };
  }
  const byName = rankOf(typed, plainWords(term.name), NAME);
  if (byName) yield { rank: byName, behind: 0, word: term.name };
  for (const word of [...(term.also ?? []), ...(term.synonyms ?? [])]) {
    const rank = rankOf(typed, plainWords(word), SYNONYM);
    if (rank) yield { rank, behind: 0, word };
  }
}

/** How near a word is to what was typed, 0 for not at all. @param {string} typed @param {string} word @param {Ranks} ranks */
function rankOf(typed, word, ranks) {
  if (typed === word) return ranks.exact;
  if (word.startsWith(typed)) return ranks.start;
  const parts = word.split(' ');
  if (typed.split(' ').every((piece) => parts.some((part) => part.startsWith(piece)))) return ranks.words;
  if (typed.length >= WITHIN_AT_LEAST && word.includes(typed)) return WITHIN;
  const slips = Number(typed.length >= ONE_SLIP_FROM) + Number(typed.length >= TWO_SLIPS_FROM);
  if (slips && [word, ...parts].some((part) => slipsBetween(typed, part) <= slips)) return MISSPELT;
  return 0;
}
