import assert from 'node:assert/strict';
import { test } from 'node:test';
import { Marking } from '../../../static/js/photos/place/marking.js';
import { doubtedNames, isWarning, nowText, residualText } from '../../../static/js/photos/place/words.js';

const SIZE = { width_px: 4000, height_px: 3000 };
const target = (/** @type {string} */ name, /** @type {number} */ x, /** @type {number} */ y) => ({ name, kind: /** @type {const} */ ('mark'), wall_in: /** @type {[number, number]} */ ([x, y]) });

/** @param {number} count */
function marked(count) {
  const marking = new Marking(SIZE);
  for (let number = 1; number <= count; number += 1) {
    marking.tap([number * 100, number * 50]);
    marking.name(number, target(`mark ${number}`, number, number));
  }
  return marking;
}

test('a point without a place moves with the next tap; one with a place stays', () => {
  const marking = new Marking(SIZE);
  marking.tap([100, 100]);
  marking.tap([200, 150]);
  marking.name(1, target('nail', 1, 2));
  marking.tap([300, 300]);

  assert.deepEqual(marking.marks.map(({ px }) => px), [[200, 150], [300, 300]]);
});

test('a nudge is a quarter of a pixel, and no point leaves the photograph', () => {
  const marking = new Marking(SIZE);
  marking.tap([0.1, 2999.9]);
  marking.nudge(-0.25, 0.25);

  assert.deepEqual(marking.chosen?.px, [0, 3000]);
  marking.nudge(0.25, -0.25);
  assert.deepEqual(marking.chosen?.px, [0.25, 2999.75]);
});

test('one place is marked once', () => {
  const marking = marked(2);

  assert.throws(() => marking.name(2, target('mark 1', 9, 9)), /marked already, as point 1/);
  assert.equal(marking.marks[1].target?.name, 'mark 2');
});

test('every step can be taken back and done again', () => {
  const marking = marked(3);
  const whole = structuredClone(marking.marks);
  marking.remove(2);
  marking.nudge(0.25, 0);

  while (marking.undo());
  assert.deepEqual(marking.marks, []);
  while (marking.redo());
  assert.deepEqual(marking.marks.map(({ id }) => id), [1, 3]);
  marking.undo();
  marking.undo();
  assert.deepEqual(marking.marks, whole);
});

test('four points with their places are enough; one without a place holds them up', () => {
  assert.equal(marked(3).isEnough, false);
  const marking = marked(4);
  assert.equal(marking.isEnough, true);
  marking.tap([5, 5]);
  assert.equal(marking.isEnough, false);
});

test('what is sent is each point with its place', () => {
  assert.deepEqual(marked(1).toJson(), [{ name: 'mark 1', kind: 'mark', px: [100, 50], wall_in: [1, 1] }]);
});

test('points of a placement are taken up to be marked again, and that is no step to take back', () => {
  const marking = new Marking(SIZE);
  marking.takeUp(marked(4).toJson());

  assert.equal(marking.isEnough, true);
  assert.equal(marking.undo(), false);
});

test('a suggestion taken is the place of the next tap', () => {
  const marking = marked(4);
  marking.next = target('34′ × 8′', 408, 96);
  assert.match(nowText(marking), /Tap the place of "34′ × 8′"/);

  marking.tap([900, 900]);

  assert.equal(marking.chosen?.target?.name, '34′ × 8′');
  assert.equal(marking.next, null);
});

test('brackets go from point to point, round', () => {
  const marking = marked(3);
  marking.choose(null);
  marking.chooseBy(1);
  assert.equal(marking.state.chosen, 1);
  marking.chooseBy(-1);
  assert.equal(marking.state.chosen, 3);
});

test('the page says how many points are missing, and that four prove nothing', () => {
  assert.match(nowText(new Marking(SIZE)), /Tap a place that you know/);
  const three = marked(3);
  assert.match(nowText(three), /1 more at least/);
  assert.equal(nowText(marked(4)), 'Four points always fit; nothing is checked by them. Mark two to four more.');
});

test('a residual is said in thousandths, and from an inch on in feet and inches too', () => {
  assert.equal(residualText(0.0132), '0.013\u00a0in');
  assert.equal(residualText(12.5), '1′\u00a00\u202f½″ (12.500\u00a0in)');
});

test('the point that disagrees is told from the others, also where one name begins like another', () => {
  const answer = { points: [{ name: '4' }, { name: '41' }], statements: ['Point 41 disagrees with the others by 1′ 0 ½″. Look at its mark and at its place on the wall.'] };

  assert.deepEqual([...doubtedNames(answer)], ['41']);
  assert.deepEqual([...doubtedNames({ points: [{ name: 'nail head' }], statements: ['Point “nail head” disagrees with the others by 1′. Look.'] })], ['nail head']);
  assert.equal(isWarning(answer.statements[0]), true);
  assert.equal(isWarning('Four points fit always; nothing is checked.'), false);
});
