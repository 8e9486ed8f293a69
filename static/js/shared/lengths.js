/**
 * How long is what a person wrote, and how is a length or an area written for people?
 *
 * The browser's twin of gridmap/lengths.py; both answer alike on tests/vectors/lengths.json.
 * It must not round a length that was read: snapping to the lattice is the caller's step.
 */

/** Millimetres in one inch, exact. Source: 24 FR 5348 (1959), 1 yd = 0.9144 m. */
export const MM_PER_IN = 25.4;
export const IN_PER_FT = 12;
export const SQ_IN_PER_SQ_FT = 144;
/** Lattice steps in one inch, about 0.1 mm each. */
export const LATTICE_PER_IN = 256;
/** 10,000 ft: longer than any wall, short enough to stay exact. */
export const MAXIMUM_LENGTH_IN = 120000;
/** Characters. */
export const MAXIMUM_TEXT_LENGTH = 40;

export const ACCEPTED_FORMS =
  'Write feet and inches such as 12\' 6 1/2", 12-6 1/2 or 12 ft 6.5 in, ' +
  'inches such as 6 1/2" or 150.5, or feet such as 84 ft.';

const NO_BREAK_SPACE = '\u00a0';
const NARROW_SPACE = '\u202f';

/** @type {Record<string, string>} */
const VULGAR = {
  '½': '1/2', '⅓': '1/3', '⅔': '2/3', '¼': '1/4', '¾': '3/4',
  '⅕': '1/5', '⅖': '2/5', '⅗': '3/5', '⅘': '4/5', '⅙': '1/6', '⅚': '5/6',
  '⅛': '1/8', '⅜': '3/8', '⅝': '5/8', '⅞': '7/8',
};
const SUPERSCRIPT = '⁰¹²³⁴⁵⁶⁷⁸⁹';
const SUBSCRIPT = '₀₁₂₃₄₅₆₇₈₉';

const DECIMAL = '[0-9]+(?:\\.[0-9]+)?|\\.[0-9]+';
const NUMBER = `(?:[0-9]+ +)?[0-9]+ ?/ ?[0-9]+|${DECIMAL}`;
const FEET = "(?:'|ft\\.?|feet|foot)";
const INCHES = '(?:"|in\\.?|inches|inch)';
const FEET_AND_INCHES = whole(
  `([0-9]+) ?${FEET} ?-? ?(${NUMBER}) ?${INCHES}?|` +
    `([0-9]+)-([0-9]+(?: +[0-9]+ ?/ ?[0-9]+|\\.[0-9]+)?) ?${INCHES}?`,
);
const FEET_ONLY = whole(`(${NUMBER}) ?${FEET}`);
const INCHES_ONLY = whole(`(${NUMBER}) ?${INCHES}?`);
const METRIC = /[0-9] ?(?:mm|cm|m|met(?:er|re)s?|millimet(?:er|re)s?|centimet(?:er|re)s?)$/;
const BROKEN_FEET = whole(`(?:${NUMBER}) ?${FEET} ?-? ?(?:${NUMBER}) ?${INCHES}?`);
const DASHED_FRACTION = whole(`[0-9]+-[0-9]+ ?/ ?[0-9]+ ?${INCHES}?`);
const TWO_NUMBERS = whole(`(?:${DECIMAL}) +(?:${DECIMAL}) ?${INCHES}?`);

/** A value that a person gave is wrong; the message names field, value and limit. */
export class InvalidInput extends Error {
  /**
   * @param {string} message
   * @param {string | null} [field]
   */
  constructor(message, field = null) {
    super(message);
    this.name = 'InvalidInput';
    this.field = field;
  }
}

/**
 * The length [in] that a person wrote; a bare number is inches. Exact, not snapped.
 * @param {unknown} value
 * @param {{field?: string, minimumIn?: number | null}} [options]
 * @returns {number}
 */
export function parseLengthIn(value, { field = 'length', minimumIn = null } = {}) {
  const lengthIn = typeof value === 'string' ? lengthOfText(value, field) : lengthOfNumber(value, field);
  if (Math.abs(lengthIn) > MAXIMUM_LENGTH_IN) {
    throw new InvalidInput(
      `${field}: ${quoted(value)} is longer than the limit of ` +
        `${grouped(String(MAXIMUM_LENGTH_IN / IN_PER_FT))} ft (${grouped(String(MAXIMUM_LENGTH_IN))} in).`,
      field,
    );
  }
  if (minimumIn !== null && lengthIn < minimumIn) {
    const limit = formatFeetInchesPlain(minimumIn, { denominator: LATTICE_PER_IN });
    throw new InvalidInput(
      `${field}: ${quoted(value)} is below the limit of ${limit}. Give at least that.`,
      field,
    );
  }
  return lengthIn + 0; // no minus zero
}

/**
 * The nearest point of the 1/256 in lattice; a half step goes up (to the right).
 * @param {number} valueIn
 */
export function snapIn(valueIn) {
  return Math.floor(valueIn * LATTICE_PER_IN + 0.5) / LATTICE_PER_IN;
}

/**
 * A length [in] set properly, to the nearest 1/denominator in with carry: 12′ 6 ½″, never 5′ 12″.
 * @param {number} lengthIn
 * @param {{denominator?: number}} [options]
 */
export function formatFeetInches(lengthIn, { denominator = 16 } = {}) {
  const { negative, feet, inches, numerator, below } = parts(lengthIn, denominator);
  const fraction = numerator ? typesetFraction(numerator, below) : '';
  const wholeInches = inches || feet || !numerator ? String(inches) : '';
  let text = `${wholeInches}${wholeInches && fraction ? NARROW_SPACE : ''}${fraction}″`;
  if (feet) text = `${feet}′${NO_BREAK_SPACE}${text}`;
  return negative ? `−${text}` : text;
}

/**
 * A length [in] in plain ASCII that parseLengthIn reads back: 12' 6 1/2".
 * @param {number} lengthIn
 * @param {{denominator?: number}} [options]
 */
export function formatFeetInchesPlain(lengthIn, { denominator = 16 } = {}) {
  const { negative, feet, inches, numerator, below } = parts(lengthIn, denominator);
  const fraction = numerator ? `${numerator}/${below}` : '';
  const wholeInches = inches || feet || !numerator ? String(inches) : '';
  let text = `${[wholeInches, fraction].filter(Boolean).join(' ')}"`;
  if (feet) text = `${feet}' ${text}`;
  return negative ? `-${text}` : text;
}

/**
 * A length [in] in metres to the millimetre, or below 1 m in millimetres to 0.1.
 * @param {number} lengthIn
 */
export function formatMetric(lengthIn) {
  const sizeMm = Math.abs(finite(lengthIn)) * MM_PER_IN;
  // From 999.95 mm on, millimetres to 0.1 would print as 1000.0.
  const shown = sizeMm < 999.95 ? sizeMm.toFixed(1) : (sizeMm / 1000).toFixed(3);
  const sign = lengthIn < 0 && Number(shown) ? '−' : '';
  return `${sign}${shown}${NO_BREAK_SPACE}${sizeMm < 999.95 ? 'mm' : 'm'}`;
}

/**
 * A length [in] in feet and inches with its metric value beside it in brackets.
 * @param {number} lengthIn
 * @param {{denominator?: number}} [options]
 */
export function formatFeetInchesWithMetric(lengthIn, options = {}) {
  return `${formatFeetInches(lengthIn, options)}${NO_BREAK_SPACE}(${formatMetric(lengthIn)})`;
}

/**
 * An area [sq in] in square inches, or from 1 sq ft on in square feet: 8.52 sq ft.
 * @param {number} areaSqIn
 */
export function formatArea(areaSqIn) {
  return formatAreaPlain(areaSqIn).replaceAll(' ', NO_BREAK_SPACE).replace(/^-/, '−');
}

/**
 * An area [sq in] as formatArea, with ordinary spaces and hyphen-minus.
 * @param {number} areaSqIn
 */
export function formatAreaPlain(areaSqIn) {
  let size = Math.abs(finite(areaSqIn));
  let unit = 'sq in';
  let decimals = size < 1 ? 2 : 1;
  if (size >= SQ_IN_PER_SQ_FT - 0.05) {
    size /= SQ_IN_PER_SQ_FT;
    unit = 'sq ft';
    decimals = size < 100 ? 2 : size < 1000 ? 1 : 0;
  }
  if (size > 0 && size < 0.005) return 'under 0.01 sq in';
  const [wholeUnits, digits = ''] = size.toFixed(decimals).split('.');
  const shown = grouped(wholeUnits) + (/[1-9]/.test(digits) ? `.${digits}` : '');
  return `${areaSqIn < 0 ? '-' : ''}${shown} ${unit}`;
}

/**
 * A value that a person gave, shortened, in quotation marks for a message.
 * @param {unknown} value
 */
export function quoted(value) {
  const text = String(value);
  return `“${text.slice(0, MAXIMUM_TEXT_LENGTH)}${text.length > MAXIMUM_TEXT_LENGTH ? '…' : ''}”`;
}

/**
 * @param {unknown} value
 * @param {string} field
 */
function lengthOfNumber(value, field) {
  if (typeof value !== 'number') {
    throw new InvalidInput(`${field}: ${quoted(value)} is not a length. ${ACCEPTED_FORMS}`, field);
  }
  if (!Number.isFinite(value)) {
    throw new InvalidInput(
      `${field}: ${quoted(value)} is not a finite number of inches. ${ACCEPTED_FORMS}`,
      field,
    );
  }
  return value;
}

/**
 * @param {string} value
 * @param {string} field
 */
function lengthOfText(value, field) {
  if (value.length > MAXIMUM_TEXT_LENGTH) {
    throw new InvalidInput(
      `${field}: the text ${quoted(value)} has ${value.length} characters; ` +
        `the limit is ${MAXIMUM_TEXT_LENGTH}. ${ACCEPTED_FORMS}`,
      field,
    );
  }
  const text = normalised(value);
  const negative = text.startsWith('-');
  const result = magnitude(negative ? text.slice(1).trimStart() : text, negative);
  if (typeof result === 'string') {
    throw new InvalidInput(`${field}: ${quoted(value)} ${result}. ${ACCEPTED_FORMS}`, field);
  }
  return negative ? -result : result;
}

/**
 * One spelling for every sign that people type or paste.
 * @param {string} value
 */
function normalised(value) {
  return value
    .replace(/[⁰¹²³⁴⁵⁶⁷⁸⁹]+/g, (run) => ` ${[...run].map((digit) => SUPERSCRIPT.indexOf(digit)).join('')}`)
    .replace(/[₀₁₂₃₄₅₆₇₈₉]/g, (digit) => String(SUBSCRIPT.indexOf(digit)))
    .replace(/[½⅓⅔¼¾⅕⅖⅗⅘⅙⅚⅛⅜⅝⅞]/g, (sign) => ` ${VULGAR[sign]} `)
    .replace(/[\u2032\u2018\u2019\u02b9\u00b4\u0060\uff07]/g, "'")
    .replace(/[\u2033\u201c\u201d\u02ba\uff02]/g, '"')
    .replace(/[\u2010-\u2014\u2212]/g, '-')
    .replace(/[\u2044\u2215]/g, '/')
    .replace(/\s+/g, ' ')
    .trim()
    .toLowerCase()
    .replaceAll("''", '"')
    .replaceAll(" '", "'")
    .replaceAll(' "', '"');
}

/**
 * The length [in] of a normalised text without its sign, or why it is not clear.
 * @param {string} text
 * @param {boolean} negative
 * @returns {number | string}
 */
function magnitude(text, negative) {
  const both = FEET_AND_INCHES.exec(text);
  if (both) {
    if (both[3] && negative) return 'is not clear: a minus sign and a dash between feet and inches';
    const inches = number(both[2] ?? both[4], 1, Number(both[1] ?? both[3]) * IN_PER_FT);
    const alone = number(both[2] ?? both[4]);
    return typeof alone === 'number' && alone >= IN_PER_FT
      ? 'has 12 or more inches beside its feet'
      : inches;
  }
  const feetOnly = FEET_ONLY.exec(text);
  if (feetOnly) return number(feetOnly[1], IN_PER_FT);
  const inchesOnly = INCHES_ONLY.exec(text);
  if (inchesOnly) return number(inchesOnly[1]);
  return whyUnclear(text);
}

/** @param {string} text */
function whyUnclear(text) {
  if (!text) return 'is empty';
  if (['nan', 'inf', 'infinity'].includes(text)) return 'is not a finite number of inches';
  if (text.includes(',')) return 'has a comma: write a decimal with a point, and thousands without a sign';
  if (METRIC.test(text)) return 'is metric: this program takes feet and inches (1 in = 25.4 mm)';
  if (BROKEN_FEET.test(text)) return 'has a part of a foot beside its inches';
  if (DASHED_FRACTION.test(text)) return 'could be feet and inches or inches and a fraction';
  if (TWO_NUMBERS.test(text)) {
    return 'could be feet and inches or something else: two numbers without a sign';
  }
  return 'is not a length';
}

/**
 * base + factor × (a decimal, a fraction, or a whole number and a proper fraction), rounded once
 * at the end, so that both sides of the program read the same double; or what is wrong.
 * @param {string} text
 * @param {number} [factor]
 * @param {number} [base]
 * @returns {number | string}
 */
function number(text, factor = 1, base = 0) {
  if (!text.includes('/')) {
    const [units, digits = ''] = text.split('.');
    const below = 10n ** BigInt(digits.length);
    return Number(BigInt(base) * below + BigInt(factor) * BigInt(units + digits)) / Number(below);
  }
  const pieces = text.replace(/ ?\/ ?/, '/').split(/ +/);
  const [above, below] = (pieces.pop() ?? '').split('/').map(BigInt);
  const units = pieces.length ? BigInt(pieces[0]) : 0n;
  if (below === 0n) return 'has a fraction over 0';
  if (pieces.length && above >= below) {
    return 'has a fraction that is not smaller than 1 beside its whole number';
  }
  return Number(BigInt(base) * below + BigInt(factor) * (units * below + above)) / Number(below);
}

/**
 * Sign, feet, inches and the reduced fraction of the rounded length.
 * @param {number} lengthIn
 * @param {number} denominator
 */
function parts(lengthIn, denominator) {
  if (![1, 2, 4, 8, 16, 32, 64, 128, 256].includes(denominator)) {
    throw new RangeError(`denominator must be a power of two from 1 to 256, not ${denominator}`);
  }
  const steps = Math.floor(Math.abs(finite(lengthIn)) * denominator + 0.5);
  const feet = Math.floor(steps / (IN_PER_FT * denominator));
  const rest = steps - feet * IN_PER_FT * denominator;
  const inches = Math.floor(rest / denominator);
  let [numerator, below] = [rest % denominator, denominator];
  while (numerator && numerator % 2 === 0) [numerator, below] = [numerator / 2, below / 2];
  return { negative: lengthIn < 0 && steps > 0, feet, inches, numerator, below };
}

/**
 * @param {number} numerator
 * @param {number} denominator
 */
function typesetFraction(numerator, denominator) {
  const plain = `${numerator}/${denominator}`;
  const sign = Object.keys(VULGAR).find((vulgar) => VULGAR[vulgar] === plain);
  if (sign) return sign;
  const above = [...String(numerator)].map((digit) => SUPERSCRIPT[Number(digit)]).join('');
  const below = [...String(denominator)].map((digit) => SUBSCRIPT[Number(digit)]).join('');
  return `${above}\u2044${below}`;
}

/** @param {number} value */
function finite(value) {
  if (!Number.isFinite(value)) throw new InvalidInput(`${value} cannot be written as a length or an area.`);
  return value;
}

/** @param {string} digits */
function grouped(digits) {
  return digits.replace(/\B(?=(\d{3})+$)/g, ',');
}

/** @param {string} pattern */
function whole(pattern) {
  return new RegExp(`^(?:${pattern})$`);
}
