import assert from "node:assert/strict";
import { test } from "node:test";
import { nextAfter, tooLarge } from "../goods-keys.js";

test("Enter goes to the next field, and stays where there is none", () => {
  const [code, off, pieces, send] = [{}, { disabled: true }, {}, {}];
  const fields = [code, off, pieces, send];
  assert.equal(nextAfter(fields, code), pieces);
  assert.equal(nextAfter(fields, pieces), send);
  assert.equal(nextAfter(fields, send), null);
  assert.equal(nextAfter(fields, {}), null);
});

test("a file that is too large is named with its size", () => {
  const most = 20 * 2 ** 20;
  assert.equal(tooLarge([{ name: "a.jpg", size: most }], most), "");
  assert.match(tooLarge([{ name: "a.jpg", size: 40 * 2 ** 20 }], most), /^a\.jpg has 40 MB, 20 MB/);
  assert.equal(tooLarge(null, most), "");
});
