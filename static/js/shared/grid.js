/**
 * Which cell of the wall is a point in, and what is the cell called?
 *
 * The browser's twin of gridmap/axis.py and gridmap/grid.py; both answer alike on
 * tests/vectors/grid.json. All positions are wall inches, x to the right, y up.
 */

import { InvalidInput, formatFeetInches, quoted, snapIn } from './lengths.js';

/** @typedef {'letters' | 'numbers'} Names */
/** @typedef {'left' | 'right' | 'top' | 'bottom'} Start */
/** @typedef {{lines: number[], names: Names, from: Start}} AxisJson */
/** @typedef {{columns: AxisJson, rows: AxisJson}} GridJson */

const MAXIMUM_LABEL_LENGTH = 20;
const LABEL = /^([A-Z]+|[0-9]+)[.-]?([A-Z]+|[0-9]+)$/;

/** Lines in rising order, and the names of the strips between them. */
export class Axis {
  /**
   * @param {readonly number[]} linesIn
   * @param {Names} names
   * @param {Start} readsFrom
   */
  constructor(linesIn, names, readsFrom) {
    if (linesIn.length < 2 || linesIn.some((line, place) => place > 0 && !(line > linesIn[place - 1]))) {
      throw new InvalidInput('grid: the lines are not at least two numbers in rising order.', 'grid');
    }
    this.linesIn = [...linesIn];
    this.names = names;
    this.readsFrom = readsFrom;
    this.count = linesIn.length - 1;
    this.readsBackwards = readsFrom === 'right' || readsFrom === 'top';
    /** Names in wall order: left to right, bottom to top. */
    this.stripNames = stripNames(this.count, names);
    if (this.readsBackwards) this.stripNames.reverse();
    this.places = new Map(this.stripNames.map((name, place) => [bare(name), place]));
  }

  /**
   * The strip that holds a position: its lower line belongs to it, its upper line to the next
   * strip, the very last line to the last strip; null beyond the lines.
   * @param {number} positionIn
   * @returns {number | null}
   */
  placeAt(positionIn) {
    if (!(positionIn >= this.linesIn[0] && positionIn <= this.linesIn[this.count])) return null;
    let [low, high] = [0, this.count];
    while (high - low > 1) {
      const middle = (low + high) >> 1;
      if (this.linesIn[middle] <= positionIn) low = middle;
      else high = middle;
    }
    return low;
  }

  /** Places in reading order. */
  readingOrder() {
    const places = Array.from({ length: this.count }, (_, place) => place);
    return this.readsBackwards ? places.reverse() : places;
  }

  /** The names at both ends, in reading order. */
  firstAndLast() {
    const places = this.readingOrder();
    return [this.stripNames[places[0]], this.stripNames[places[this.count - 1]]];
  }
}

/** Columns and rows of cells; a label names the row first, then the column (C17). */
export class Grid {
  /**
   * @param {Axis} columns
   * @param {Axis} rows
   */
  constructor(columns, rows) {
    this.columns = columns;
    this.rows = rows;
    this.joint = rows.names !== columns.names ? '' : rows.names === 'numbers' ? '.' : '-';
  }

  /**
   * The grid of the server's description, whose lines are already checked.
   * @param {GridJson} description
   */
  static fromJson({ columns, rows }) {
    return new Grid(
      new Axis(columns.lines, columns.names, columns.from),
      new Axis(rows.lines, rows.names, rows.from),
    );
  }

  /**
   * Equal cells counted from their origin; what is left over at the far end is a part cell.
   * @param {{widthIn: number, heightIn: number, columnSpacingIn: number, rowSpacingIn: number,
   *   columnNames?: Names, columnsFrom?: Start, rowNames?: Names, rowsFrom?: Start}} description
   */
  static regular({
    widthIn, heightIn, columnSpacingIn, rowSpacingIn,
    columnNames = 'numbers', columnsFrom = 'left', rowNames = 'letters', rowsFrom = 'top',
  }) {
    return new Grid(
      new Axis(regularLines(widthIn, columnSpacingIn, columnsFrom), columnNames, columnsFrom),
      new Axis(regularLines(heightIn, rowSpacingIn, rowsFrom), rowNames, rowsFrom),
    );
  }

  /** @returns {GridJson} */
  toJson() {
    const [columns, rows] = [this.columns, this.rows].map((axis) => ({
      lines: [...axis.linesIn], names: axis.names, from: axis.readsFrom,
    }));
    return { columns, rows };
  }

  /** How many columns and rows. @returns {[number, number]} */
  get shape() {
    return [this.columns.count, this.rows.count];
  }

  get cellCount() {
    return this.columns.count * this.rows.count;
  }

  /** The rectangle that the cells cover. @returns {[number, number, number, number]} */
  get extentIn() {
    const [x, y] = [this.columns, this.rows];
    return [x.linesIn[0], y.linesIn[0], x.linesIn[x.count], y.linesIn[y.count]];
  }

  /** Every label in reading order: row by row, each from the column origin. */
  labels() {
    const columns = this.columns.readingOrder();
    return this.rows.readingOrder().flatMap((row) => columns.map((column) => this.label(column, row)));
  }

  /**
   * The label of a cell counted from 0 in wall order (left to right, bottom up).
   * @param {number} column
   * @param {number} row
   */
  label(column, row) {
    const names = [this.rows.stripNames[row], this.columns.stripNames[column]];
    if (names.includes(/** @type {any} */ (undefined))) {
      throw new RangeError(`no column ${column} and row ${row} in a grid of ${this.shape}`);
    }
    return names.join(this.joint);
  }

  /**
   * Column and row, from 0 in wall order; case, spaces and leading zeros do not matter.
   * @param {string} label
   * @returns {[number, number]}
   */
  position(label) {
    const found = this.find(label);
    if (!found) {
      throw new InvalidInput(`cell: ${quoted(label)} is no cell here. ${this.range()}`, 'cell');
    }
    return found;
  }

  /**
   * As position(), or null where there is no such cell.
   * @param {string} label
   * @returns {[number, number] | null}
   */
  find(label) {
    if (label.length > MAXIMUM_LABEL_LENGTH) return null;
    const names = LABEL.exec(label.replace(/\s+/g, '').toUpperCase());
    if (!names || !label.includes(this.joint)) return null;
    const row = this.rows.places.get(bare(names[1]));
    const column = this.columns.places.get(bare(names[2]));
    return row === undefined || column === undefined ? null : [column, row];
  }

  /**
   * The label of the cell at a wall point, null beyond the grid. A cell holds its left and lower
   * line; the grid's right and top line belong to the last column and row.
   * @param {number} xIn
   * @param {number} yIn
   * @returns {string | null}
   */
  cellAt(xIn, yIn) {
    const [column, row] = [this.columns.placeAt(xIn), this.rows.placeAt(yIn)];
    return column === null || row === null ? null : this.label(column, row);
  }

  /**
   * x0, y0, x1, y1 of a cell.
   * @param {string} label
   * @returns {[number, number, number, number]}
   */
  bounds(label) {
    const [column, row] = this.position(label);
    const [x, y] = [this.columns.linesIn, this.rows.linesIn];
    return [x[column], y[row], x[column + 1], y[row + 1]];
  }

  /**
   * The cell of a wall point and the point's place from that cell's lower left corner.
   * @param {number} xIn
   * @param {number} yIn
   * @returns {[string, number, number]}
   */
  toLocal(xIn, yIn) {
    const label = this.cellAt(xIn, yIn);
    if (label === null) {
      const [x0, y0, x1, y1] = this.extentIn;
      throw new InvalidInput(
        `point: ${xIn} in, ${yIn} in lies beyond the grid, which runs from ` +
          `${x0} to ${x1} in across and from ${y0} to ${y1} in up.`,
        'point',
      );
    }
    const [x0, y0] = this.bounds(label);
    return [label, xIn - x0, yIn - y0];
  }

  /**
   * The wall point of a place counted from a cell's lower left corner; it may lie beyond the cell.
   * @param {string} label
   * @param {number} dxIn
   * @param {number} dyIn
   * @returns {[number, number]}
   */
  fromLocal(label, dxIn, dyIn) {
    const [x0, y0] = this.bounds(label);
    return [x0 + dxIn, y0 + dyIn];
  }

  /**
   * Where a wall point is, for people: C17, 1′ 3 ½″ across, 4″ up.
   * @param {number} xIn
   * @param {number} yIn
   */
  placeText(xIn, yIn) {
    const [label, dxIn, dyIn] = this.toLocal(xIn, yIn);
    return `${label}, ${formatFeetInches(dxIn)} across, ${formatFeetInches(dyIn)} up`;
  }

  /** Which labels there are, as a sentence. */
  range() {
    const [firstRow, lastRow] = this.rows.firstAndLast();
    const [firstColumn, lastColumn] = this.columns.firstAndLast();
    return (
      `Rows run from ${firstRow} to ${lastRow} and columns from ${firstColumn} to ${lastColumn}; ` +
      `write the row first, such as ${firstRow}${this.joint}${firstColumn}.`
    );
  }
}

/**
 * @param {number} totalIn
 * @param {number} spacingIn
 * @param {Start} readsFrom
 */
function regularLines(totalIn, spacingIn, readsFrom) {
  const endIn = snapIn(totalIn);
  const fromOrigin = [0];
  if (!(spacingIn >= 1 && endIn > 0)) {
    throw new InvalidInput(`grid: a spacing of ${spacingIn} in on ${totalIn} in makes no cells.`, 'grid');
  }
  for (let line = snapIn(spacingIn); line < endIn; line = snapIn(fromOrigin.length * spacingIn)) {
    fromOrigin.push(line);
  }
  fromOrigin.push(endIn);
  const backwards = readsFrom === 'right' || readsFrom === 'top';
  return backwards ? fromOrigin.reverse().map((line) => endIn - line) : fromOrigin;
}

/**
 * @param {number} count
 * @param {Names} names
 */
function stripNames(count, names) {
  const width = String(count).length;
  return Array.from({ length: count }, (_, place) =>
    names === 'letters' ? letters(place) : String(place + 1).padStart(width, '0'),
  );
}

/**
 * A, B … Z, AA, AB … for 0, 1 … 25, 26, 27 …
 * @param {number} place
 */
function letters(place) {
  let name = '';
  for (let rest = place + 1; rest > 0; rest = Math.floor((rest - 1) / 26)) {
    name = String.fromCharCode(65 + ((rest - 1) % 26)) + name;
  }
  return name;
}

/** @param {string} name */
function bare(name) {
  return name.replace(/^0+/, '') || '0';
}
