// Serials as they are typed or scanned, and what a scanner puts before them.
const KINDS = 'WPKB';
const VALUES = '0123456789ABCDEFGHIJKLMNOPQRSTUVWXYZ'; // ISO/IEC 7064: A is 10
const FORM = /^[WPKB]\d{2}[0-9A-HJKMNP-TV-Z]{6}$/;
const AIM = /^\][A-Za-z][0-9A-Za-z]/;

/** hybridCheck is the check character by MOD 37,36 of ISO/IEC 7064; '' outside its alphabet. */
export function hybridCheck(body) {
  let p = 36;
  for (const c of body) {
    const a = VALUES.indexOf(c);
    if (a < 0) return '';
    const s = (p + a) % 36 || 36;
    p = (2 * s) % 37;
  }
  return VALUES[(37 - p) % 36];
}

/**
 * serialOf reads a serial as typed or scanned: {serial}, or {error: 'form'}
 * where it is none, {error: 'check'} where a character was misread.
 */
export function serialOf(typed) {
  const serial = typed.replace(/[-\u2010-\u2015\u2212\s]/g, '').toUpperCase().replace(/[IL]/g, '1').replace(/O/g, '0');
  if (!KINDS.includes(serial[0] ?? '-') || !FORM.test(serial)) return { error: 'form' };
  return hybridCheck(serial.slice(0, 8)) === serial[8] ? { serial } : { error: 'check' };
}

/** printed is a serial as people read it. */
export const printed = (serial) => `${serial.slice(0, 3)}-${serial.slice(3, 8)}-${serial.slice(8)}`;

const GS1 = /^\](?:C1|d2|Q3|e0)/;
const PAPER = /^\S{9} C\d\d-\d{5}\/\d+ [0-9a-f]{64}$/;
const THINGS = { W: 'wheel', P: 'pack', K: 'kit', B: 'block' };

/** thingOf is what a serial is on, in a word. */
export const thingOf = (serial) => THINGS[serial[0]] ?? 'item';

/** articleNumber says whether digits are an article number with its check digit (GS1: weights 3 and 1 from the right). */
function articleNumber(text) {
  if (!/^(?:\d{8}|\d{12,14})$/.test(text)) return false;
  const sum = [...text].reverse().reduce((n, d, i) => n + Number(d) * (i % 2 ? 3 : 1), 0);
  return sum % 10 === 0;
}

/**
 * noSerial says in a sentence what was scanned or typed where a serial is
 * wanted; '' for a serial, and for a text whose form says nothing: the office
 * knows lots and makers’ numbers too.
 */
export function noSerial(typed, thing) {
  const text = (scanned(typed) ?? typed).trim();
  const { serial, error } = serialOf(text);
  if (serial) return '';
  const instead = `Scan the label of the ${thing}`;
  if (error === 'check') return 'A character was misread: the check character does not fit';
  if (GS1.test(typed.trim()) || /^\(\d{2,4}\)/.test(text)) return `That is a supplier’s GS1 code. ${instead}`;
  if (PAPER.test(text)) return `That is the code on a certificate. ${instead}`;
  if (/^https?:\/\//i.test(text)) return `That is a web address. ${instead}`;
  if (articleNumber(text)) return `That is an article number of trade goods. ${instead}`;
  return '';
}

/** noBlock says why a text cannot be the number of a block: it is the serial of something else. */
export function noBlock(text) {
  const { serial } = serialOf(text);
  return serial && serial[0] !== 'B' ? `${printed(serial)} is the serial of a ${thingOf(serial)}; the block’s number is wanted` : '';
}

/** prefixOf is the symbology identifier (AIM, ISO/IEC 15424) before a scan; '' where there is none. */
export const prefixOf = (typed) => AIM.exec(typed)?.[0] ?? '';

/** scanned is a scan without its prefix; null for what carries none. */
export const scanned = (typed) => (prefixOf(typed.trim()) ? typed.trim().slice(3) : null);
