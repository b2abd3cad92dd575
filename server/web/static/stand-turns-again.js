// What to read again after a stop: the inspection as a correction, with what
// is in doubt left open, or with the sides turned over.
import { freshId } from './floor-id.js';
import { changeSign } from './floor-reading.js';
import { LATERAL, RADIAL, TENSION_A, TENSION_B, EVERY_HOLE } from './stand-shape.js';

const reasons = {
  read_sides_again: 'Read with sides A and B swapped: turned over',
  read_lateral_again: 'The lateral gauge stood on the other flank: read again',
  read_run_out_again: 'A gauge slipped: run-out read again',
  read_all_again: 'Reading began at another spoke: read again',
  read_spokes_again: 'Readings contradict the turns: read again where the causes differ',
};

/** againCode is which of these an answer asks for; '' when none. */
export const againCode = (answer) => (answer.state === 'missing' && answer.answered ? answer.missing.find((m) => reasons[m.code])?.code ?? '' : '');

const of = (characteristic) => (key) => key.startsWith(`${characteristic}/`);
const atSpokes = (characteristics, spokes) => (key) => {
  const [code, method, slot] = key.split('/');
  return characteristics.includes(code) && method === EVERY_HOLE && (spokes.includes(Number(slot)) || (slot === 'reread' && spokes.includes(0)));
};

const any = (...tests) => (key) => tests.some((t) => t(key));
const inDoubt = {
  read_lateral_again: () => of(LATERAL),
  read_run_out_again: () => any(of(LATERAL), of(RADIAL)),
  read_all_again: () => any(of(LATERAL), of(RADIAL), of(TENSION_A), of(TENSION_B)),
  read_spokes_again: (spokes) => (spokes.length ? atSpokes([LATERAL, TENSION_A, TENSION_B], spokes) : any(of(LATERAL), of(TENSION_A), of(TENSION_B))),
};

/** again makes the correction. Everything that is not in doubt stays as it was read. */
export function again(job, code, spokes = []) {
  const next = { ...job, id: freshId(), corrects: job.id, reason: reasons[code], events: [], at: null, doubt: null, ask: null };
  if (code === 'read_sides_again') return { ...next, values: turnedOver(job.values) };
  const doubtful = inDoubt[code](spokes);
  return { ...next, values: Object.fromEntries(Object.entries(job.values).filter(([key]) => !doubtful(key))) };
}

/** turnedOver: what was toward side A is toward side B, and each tension belongs to the spoke beside it. */
function turnedOver(values) {
  const out = {};
  for (const [key, value] of Object.entries(values)) {
    const [code, method, slot] = key.split('/');
    if (code === LATERAL) {
      // With the sign, what was the highest is the lowest.
      const other = { highest: 'lowest', lowest: 'highest' }[slot] ?? slot;
      out[`${code}/${method}/${other}`] = { ...value, text: signTurned(value.text) };
    } else if ([TENSION_A, TENSION_B].includes(code) && /^\d+$/.test(slot)) {
      out[`${code === TENSION_A ? TENSION_B : TENSION_A}/${method}/${Number(slot) ^ 1}`] = value;
    } else out[key] = value;
  }
  return out;
}

/** signTurned changes the sign of a reading; a zero has none. */
function signTurned(text) {
  const plain = text.trim().replace(/^\+/, '');
  return /^[-\u2212]?[0.,\s]*$/.test(plain) ? plain.replace(/^[-\u2212]/, '') : changeSign(plain);
}
