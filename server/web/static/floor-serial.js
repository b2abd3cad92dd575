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

/** prefixOf is the symbology identifier (AIM, ISO/IEC 15424) before a scan; '' where there is none. */
export const prefixOf = (typed) => AIM.exec(typed)?.[0] ?? '';

/** scanned is a scan without its prefix; null for what carries none. */
export const scanned = (typed) => (prefixOf(typed.trim()) ? typed.trim().slice(3) : null);
