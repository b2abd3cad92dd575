import test from 'node:test';
import assert from 'node:assert/strict';
import { missing, refusal, asScan } from '../floor-camera.js';
import { scanned } from '../floor-serial.js';

const devices = { getUserMedia() {} };

test('why there is no camera is said plainly', () => {
  for (const [name, where, want] of [
    ['not under https', { secure: false, devices }, /under https only/],
    ['no camera shown', { secure: true, devices: null }, /shows no camera/],
    ['all there', { secure: true, devices }, /^$/],
  ]) assert.match(missing(where), want, name);
  for (const [name, want] of [['NotAllowedError', /not allowed/], ['NotFoundError', /no camera/], ['NotReadableError', /another program/], [undefined, /cannot be opened/]]) {
    assert.match(refusal(name && { name }), want, name);
  }
});

// Identifiers as ISO/IEC 15424 gives them: Q QR code, C Code 128, d Data Matrix.
test('what is read arrives as a scanner would have sent it', () => {
  for (const [format, aim, want] of [
    ['qr_code', '', ']Q1W26000051'], ['code_128', undefined, ']C0W26000051'], ['data_matrix', '', ']d1W26000051'],
    ['Code128', ']C1', ']C1W26000051'], ['ean_13', '', ''],
  ]) {
    const got = asScan(format, 'W26000051', aim);
    assert.equal(got, want, format);
    if (got) assert.equal(scanned(got), 'W26000051', format);
  }
  assert.equal(asScan('qr_code', ''), '');
});
