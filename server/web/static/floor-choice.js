// A question with its answers: each has a number, which is typed and ended with
// Enter like every entry, so that a reading on its way is never taken for an
// answer. More answers than fit are shown in parts, and it is said how many.

/** PART is how many keys stand on the page at once. */
export const PART = 10;

const SHOWN = PART - 1; // beside the key for more

/** partOf is what of a question stands on the page: its answers with their numbers, and how many more there are. */
export function partOf(choice) {
  const all = choice.options.length;
  const numbered = choice.options.map((o, i) => ({ ...o, number: i + 1 }));
  if (all <= PART) return { options: numbered, more: null };
  const from = choice.from ?? 0;
  const next = from + SHOWN < all ? from + SHOWN : 0;
  return { options: numbered.slice(from, from + SHOWN), more: { from: next, label: `More: ${next + 1} to ${Math.min(all, next + SHOWN)}`, small: `of ${all}` } };
}

/**
 * readChoice reads what is typed to a question. It gives {index} of an answer,
 * {more: true} for 0 where there are more, or {reason}, which is empty when
 * nothing was typed.
 */
export function readChoice(typed, choice) {
  const text = typed.trim();
  const all = choice.options.length;
  if (text === '') return { reason: '' };
  const number = /^\d{1,3}$/.test(text) ? Number(text) : -1;
  if (number === 0 && /^0+$/.test(text) && all > PART) return { more: true };
  if (number >= 1 && number <= all) return { index: number - 1 };
  const short = text.length > 12 ? `${text.slice(0, 12)}…` : text;
  return { reason: `${short} is not an answer: 1 to ${all}` };
}

/** choiceField is the capture field while a question waits. */
export function choiceField(choice, typed, refused) {
  const read = readChoice(typed, choice);
  const label = read.index === undefined ? '' : choice.options[read.index].label;
  return { says: 'Its number', hint: label || (read.more ? 'the next part' : refused || 'then Enter'), units: [], label: choice.text };
}

/** choiceGo is the key that confirms a typed number. */
export function choiceGo(choice, typed) {
  const read = readChoice(typed, choice);
  const label = read.index === undefined ? '' : choice.options[read.index].label;
  if (label) return { label: 'Choose', small: label, words: true };
  if (read.more) return { label: 'More', small: 'the next part', words: true };
  return { label: 'Choose', small: 'by key or number', words: true, disabled: true };
}
