// Exact decimals, so that what the page says about a limit is what the office
// will say: n / 10^scale with a BigInt n. Nothing here knows of pages.

const pow10 = (k) => 10n ** BigInt(k);

/** make builds a decimal from an integer and the count of its decimals. */
export const make = (n, scale = 0) => ({ n: BigInt(n), scale });

/** plain reads text as it is stored: "-0.60". It gives null for anything else. */
export function plain(text) {
  const parts = /^(-?)(\d+)(?:\.(\d+))?$/.exec(text ?? '');
  if (!parts) return null;
  const [, sign, whole, fraction = ''] = parts;
  const n = BigInt(whole + fraction);
  return { n: sign ? -n : n, scale: fraction.length };
}

/** atScale writes the same number with more decimals. */
function atScale(d, scale) {
  return d.n * pow10(scale - d.scale);
}

export function add(a, b) {
  const scale = Math.max(a.scale, b.scale);
  return { n: atScale(a, scale) + atScale(b, scale), scale };
}

export const neg = (a) => ({ n: -a.n, scale: a.scale });
export const sub = (a, b) => add(a, neg(b));
export const mul = (a, b) => ({ n: a.n * b.n, scale: a.scale + b.scale });
export const abs = (a) => (a.n < 0n ? neg(a) : a);
export const sign = (a) => (a.n > 0n ? 1 : a.n < 0n ? -1 : 0);

/** cmp orders two decimals: -1, 0 or 1. */
export const cmp = (a, b) => sign(sub(a, b));

export const max = (list) => list.reduce((a, b) => (cmp(b, a) > 0 ? b : a));
export const min = (list) => list.reduce((a, b) => (cmp(b, a) < 0 ? b : a));
export const sum = (list) => list.reduce(add, make(0));

/** quotient divides two integers and rounds half to even. */
function quotient(a, b) {
  if (b < 0n) [a, b] = [-a, -b];
  const negative = a < 0n;
  const top = negative ? -a : a;
  let q = top / b;
  const twice = (top % b) * 2n;
  if (twice > b || (twice === b && q % 2n === 1n)) q += 1n;
  return negative ? -q : q;
}

/** divide gives a/b with this many decimals, rounded half to even once; null for b = 0. */
export function divide(a, b, decimals) {
  if (b.n === 0n) return null;
  // a.n/10^sa : b.n/10^sb, times 10^decimals
  const top = a.n * pow10(b.scale + decimals);
  return { n: quotient(top, b.n * pow10(a.scale)), scale: decimals };
}

/** roundTo rounds half to even; fewer decimals than asked for are kept as they are. */
export function roundTo(a, decimals) {
  if (a.scale <= decimals) return a;
  return { n: quotient(a.n, pow10(a.scale - decimals)), scale: decimals };
}

/** mean is the arithmetic mean with this many decimals; null for no values. */
export function mean(list, decimals) {
  return list.length ? divide(sum(list), make(list.length), decimals) : null;
}

/** text writes a decimal plainly, as it is stored and sent. */
export function text(a) {
  const digits = (a.n < 0n ? -a.n : a.n).toString().padStart(a.scale + 1, '0');
  const cut = digits.length - a.scale;
  return (a.n < 0n ? '-' : '') + digits.slice(0, cut) + (a.scale ? '.' + digits.slice(cut) : '');
}

/** number is for drawing only. */
export const number = (a) => Number(text(a));

/** half halves exactly. */
export function half(a) {
  const h = mul(a, make(5, 1));
  return h.n % 10n === 0n ? { n: h.n / 10n, scale: h.scale - 1 } : h;
}
