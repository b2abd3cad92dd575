// Room for words in a row of the strip: what is written first keeps its place, and
// what follows goes where it covers nothing. Pixels, never results.

/** wide is how wide words are at most: a letter of the typeface is at most 0.62 of its size wide. */
export const wide = (words, size) => words.length * size * 0.62;

/** boxOf is where words of a size stand, from x to the right of it; y is their foot. */
export const boxOf = (x, y, words, size) => ({ from: x, to: x + wide(words, size), top: y - size * 0.75, foot: y + 3 });

export const meets = (a, b) => a.from < b.to && b.from < a.to && a.top < b.foot && b.top < a.foot;

/** firstFree is the first of the places, each with its boxes, at which none meets what is taken; the first of all where none is free. */
export const firstFree = (places, taken) => places.find((p) => !p.boxes.some((b) => taken.some((t) => meets(b, t)))) ?? places[0];
