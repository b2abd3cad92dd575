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
