import assert from "node:assert/strict";
import { test } from "node:test";
import { filledBy, isLabel, nextAfter, tooLarge } from "../goods-keys.js";

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

test("a GS1 code is told from a plain one", () => {
  for (const text of ["]C1010952123450001810A", "]d2010952123450001810A", "(01)09521234500018(10)A", "010952123450001810A\x1d3050"]) assert.ok(isLabel(text), text);
  for (const text of ["SP-0214", "(left) rim", "]C0SP-0214", "0109521234500018", ""]) assert.ok(!isLabel(text), text);
});

test("a label fills what is empty and leaves what was typed", () => {
  const label = { supplier_code: "A-17", date_code: "2026-11-02", quantity: 500, article: "09521234500018" };
  const fields = { code: "SP-1", quantity: "480", supplier_code: "(01)...", date_code: "", description: "", received_on: "" };
  assert.deepEqual(filledBy(label, fields, "supplier_code"), { supplier_code: "A-17", date_code: "2026-11-02", description: "article 09521234500018" });
  assert.deepEqual(filledBy(label, { ...fields, code: "(01)...", supplier_code: "" }, "code"), { code: "", supplier_code: "A-17", date_code: "2026-11-02", description: "article 09521234500018" });
  assert.deepEqual(filledBy({ article: "09521234500018" }, { supplier_code: "(01)...", description: "rims" }, "supplier_code"), { supplier_code: "" });
});
