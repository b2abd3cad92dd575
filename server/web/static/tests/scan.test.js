import test from 'node:test';
import assert from 'node:assert/strict';
import { noSerial, noBlock, thingOf } from '../floor-serial.js';
import { take, begin } from '../blocks-row.js';
import { casesOf } from './cases.js';

const serial = 'W26000051'; // of the cases
const hash = '0a'.repeat(32);

test('what was scanned where a serial is wanted is said', () => {
  for (const [name, typed, says] of [
    ['a serial of a Data Matrix', `]d1${serial}`, ''],
    ['a serial by hand', 'w26-oooo5-1', ''],
    ['one character misread', 'W26000052', 'A character was misread: the check character does not fit'],
    ['the paper of a certificate', `]Q1${serial} C26-01250/1 ${hash}`, 'That is the code on a certificate. Scan the label of the wheel'],
    ['a web address', ']Q1https://shop.example/c/abc', 'That is a web address. Scan the label of the wheel'],
    ['an article number, the one GS1 sets aside for examples', ']E09521234500018', 'That is an article number of trade goods. Scan the label of the wheel'],
    ['digits that do not check', '9521234500019', ''],
    ['the end of a serial', '0005-1', ''],
    ['GS1 in brackets', '(01)09521234500018(10)A-1', 'That is a supplier’s GS1 code. Scan the label of the wheel'],
  ]) assert.equal(noSerial(typed, 'wheel'), says, name);
});

test('every element string of the cases is known for a supplier’s code', () => {
  const all = casesOf('records.json', 'gs1_parse');
  assert.ok(all.length >= 7);
  for (const c of all) assert.match(noSerial(c.input.scan, 'pack'), /^That is a supplier’s GS1 code\. Scan the label of the pack$/, c.id);
});

test('the serial of a wheel is no number of a block', () => {
  assert.equal(noBlock(serial), 'W26-00005-1 is the serial of a wheel; the block’s number is wanted');
  assert.equal(noBlock('N-7781'), '');
  assert.equal(thingOf('B26000051'), 'block');
  const settings = { stage: 'incoming', model: {} };
  const { row, said } = take(begin('r1'), `]C0${serial}`, { settings, units: {} });
  assert.deepEqual([said.kind, row.number], ['refused', '']);
});
