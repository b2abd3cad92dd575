import { test } from 'node:test';
import assert from 'node:assert/strict';
import { PART, partOf, readChoice, choiceField, choiceGo } from '../floor-choice.js';

const question = (n) => ({ text: 'Which product is it?', options: Array.from({ length: n }, (_, i) => ({ label: `Product ${i + 1}` })) });

test('every answer has a number, and what does not fit is counted', () => {
  for (const n of [1, 2, PART, PART + 1, 23]) {
    const seen = [];
    let choice = question(n);
    for (let turns = 0; turns < 9; turns++) {
      const part = partOf(choice);
      assert.ok(part.options.length >= 1 && part.options.length <= PART);
      for (const o of part.options) {
        assert.equal(o.label, `Product ${o.number}`);
        assert.deepEqual(readChoice(String(o.number), choice), { index: o.number - 1 });
        seen.push(o.number);
      }
      if (!part.more || part.more.from === 0) break;
      choice = { ...choice, from: part.more.from };
    }
    assert.deepEqual(seen, Array.from({ length: n }, (_, i) => i + 1), `${n} answers`);
  }
  assert.equal(partOf(question(PART)).more, null);
  assert.deepEqual(partOf(question(23)).more, { from: 9, label: 'More: 10 to 18', small: 'of 23' });
  assert.deepEqual(partOf({ ...question(23), from: 9 }).more, { from: 18, label: 'More: 19 to 23', small: 'of 23' });
  assert.deepEqual(partOf({ ...question(23), from: 18 }).more, { from: 0, label: 'More: 1 to 9', small: 'of 23' });
});

test('a reading is never taken for an answer', () => {
  for (const typed of ['0.13', '0,13', '.2', '-1', '+2', '1 mm', '2N', '11', '105', '1085', 'W26-001NB-V', 'y', '0']) {
    const read = readChoice(typed, question(10));
    assert.equal(read.index, undefined, typed);
    assert.match(read.reason, /is not an answer: 1 to 10$/, typed);
    assert.equal(choiceGo(question(10), typed).disabled, true, typed);
  }
  assert.equal(readChoice('', question(10)).reason, '');
});

test('zero turns on where there is more, and the field says what Enter would do', () => {
  assert.deepEqual(readChoice('0', question(11)), { more: true });
  assert.deepEqual(readChoice('010', question(11)), { index: 9 });
  assert.equal(choiceField(question(11), '0', '').hint, 'the next part');
  assert.equal(choiceField(question(11), '10', '').hint, 'Product 10');
  assert.equal(choiceGo(question(11), '10').small, 'Product 10');
  assert.equal(choiceField(question(11), '', '0.13 is not an answer: 1 to 11').hint, '0.13 is not an answer: 1 to 11');
});
