// What goods in decides, free of the page.

// nextAfter is the field behind the one in hand, null behind the last: the
// button that sends the form is reached, and pressed by the next Enter.
export function nextAfter(fields, here) {
  const at = fields.indexOf(here);
  return at < 0 ? null : (fields.slice(at + 1).find((f) => !f.disabled) ?? null);
}

// tooLarge says that a file has more than most bytes, "" where it has not.
export function tooLarge(files, most) {
  const file = [...(files ?? [])].find((f) => f.size > most);
  if (!file) return "";
  return `${file.name} has ${(file.size / 2 ** 20).toFixed(0)} MB, ${most / 2 ** 20} MB are kept at most. Take it at a lower resolution.`;
}

// isLabel says whether a text is a GS1 code as a scanner sends it: with its
// symbology prefix, a separator in it, or identifiers in brackets.
export function isLabel(text) {
  return /^\](C1|d2|Q3|e0)/.test(text) || text.includes("\x1d") || /^\(\d{2,4}\)/.test(text.trim());
}

// filledBy says which fields a label fills in: those that are empty, and the one
// that it was scanned into, which is emptied where the label has nothing for it.
export function filledBy(label, fields, scannedInto) {
  const says = { supplier_code: label.supplier_code, date_code: label.date_code, quantity: label.quantity, description: label.article && `article ${label.article}` };
  const filled = {};
  for (const [name, value] of Object.entries(fields)) {
    const empty = value === "" || name === scannedInto;
    if (empty && says[name]) filled[name] = String(says[name]);
    else if (name === scannedInto) filled[name] = "";
  }
  return filled;
}
