// The words of a turn list: titles, verdict tiles, the step in hand.
import { list as joined, capital, moment } from './floor-format.js';
import { verdictMark } from './floor-verdict.js';
import { symbol } from './floor-units.js';
import { fraction, leftOf, closedOf, saidOfStop } from './stand-turns-list.js';

export const MINUS = '\u2212';

/** fixed writes a number with this many decimals and the typographic minus; a zero has no sign. */
export function fixed(value, decimals) {
  const text = (Number.isFinite(value) ? value : 0).toFixed(decimals);
  return (Number(text) === 0 ? text.replace('-', '') : text).replace('-', MINUS);
}

/** exact writes a limit as it was typed: 1.05, 15. */
const exact = (text) => String(text).replace('-', MINUS);

export const plural = (n, one) => `${n} ${one}${n === 1 ? '' : 's'}`;
export const sideOf = (turn) => turn.side.toUpperCase();
export const doing = (turn) => (turn.turns < 0 ? 'Loosen' : 'Tighten');

const leans = { leading: 'leans ahead', trailing: 'leans back', radial: 'runs straight out' };

/** whereOf is the side of a turn with its mark, and its lean. */
export function whereOf(turn, marks = {}) {
  return { side: [`side ${sideOf(turn)}`, marks[turn.side]].filter(Boolean).join(', '), lean: leans[turn.lean] ?? '' };
}

/** spokenTurn is a turn in a sentence: "spoke 32, side B, disc side, loosen 2/16". */
export const spokenTurn = (turn, parts, marks) => `spoke ${turn.spoke + 1}, ${whereOf(turn, marks).side}, ${doing(turn).toLowerCase()} ${fraction(turn.turns, parts)}`;

/** partsWord names the parts of a turn. */
export const partsWord = (parts) => ({ 4: 'quarters', 8: 'eighths', 16: 'sixteenths', 32: 'thirty-seconds' })[parts] ?? `parts of which ${parts} are a turn`;

/** example says what two of the parts are. */
export function partsExample(parts) {
  return { 8: '2 = a quarter turn', 16: '2 = one eighth of a turn', 32: '2 = one sixteenth of a turn' }[parts] ?? '';
}

/** titleOf is the answer to what to turn. */
export function titleOf(answer, turns) {
  const left = leftOf(turns);
  if (closedOf(answer)) return 'This list is closed';
  switch (answer.state) {
    case 'nothing': return answer.rim_not_builder.length ? 'The rim, not the lacing' : 'Nothing worth turning';
    case 'missing': return saidOfStop(answer) ? 'Read again first' : 'No turn list yet';
    case 'slack': return 'Too slack to calculate';
    default:
  }
  if (turns.length && !left) return 'All turned: measure again';
  if (answer.take_tension_out) return 'First bring tension down';
  if (answer.rim_not_builder.length) return 'The rim, not the lacing';
  return `Turn ${plural(turns.length, 'nipple')}, then measure again`;
}

const tiles = [
  { code: 'lateral_tir', name: 'Lateral' }, { code: 'radial_tir', name: 'Radial' }, { code: 'dish_abs', name: 'Dish' },
  { code: 'side_tension_dev_pct_a', name: 'Deviation A', spoken: 'largest deviation, side A' }, { code: 'side_tension_dev_pct_b', name: 'Deviation B', spoken: 'largest deviation, side B' },
];
const others = {
  tension_lowest: 'Lowest tension', tension_mean_tight: 'Tight side', tension_mean_loose: 'Loose side', side_tension_cv_pct_a: 'Spread A', side_tension_cv_pct_b: 'Spread B',
  adjacent_diff_pct_a: 'Neighbours A', adjacent_diff_pct_b: 'Neighbours B', side_ratio: 'Side ratio', rim_tension_share: 'Of the rim’s most',
};
const MOST_TILES = 5;

/**
 * tilesOf chooses what is shown of an inspection's results: the five that
 * turning is about, and what else failed in the place of what passes.
 */
export function tilesOf(results) {
  const judged = results.filter((r) => r.verdict && r.verdict !== 'none' && !['yes', 'no', 'na'].includes(r.value));
  const find = (code) => judged.find((r) => r.code === code);
  let out = tiles.filter((t) => find(t.code)).map((t) => tileOf(find(t.code), t.name));
  const more = judged.filter((r) => r.verdict !== 'pass' && !tiles.some((t) => t.code === r.code)).map((r) => tileOf(r, others[r.code] ?? capital(r.name || r.code)));
  for (const tile of more) {
    if (out.length >= MOST_TILES) {
      const free = out.findLastIndex((t) => t.verdict === 'pass');
      if (free < 0) break;
      out = out.filter((_, i) => i !== free);
    }
    out.push(tile);
  }
  return out;
}

function tileOf(r, name) {
  const decimals = (/\.(\d+)/.exec(r.shown ?? '')?.[1] ?? '').length;
  const value = Number(r.value);
  const high = r.accept_high || r.high;
  const low = r.accept_low || r.low;
  const over = high && value > Number(high) ? `over by ${fixed(value - Number(high), decimals)}` : low && value < Number(low) ? `under by ${fixed(Number(low) - value, decimals)}` : '';
  const bound = over.startsWith('under') ? { all: r.low, less: low, sign: 'plus' } : { all: r.high ?? r.low, less: high ?? low, sign: 'less' };
  const guard = bound.all && bound.less && bound.all !== bound.less ? ` ${bound.sign} ${fixed(Math.abs(Number(bound.all) - Number(bound.less)), 2).replace(/0+$/, '').replace(/\.$/, '')}` : '';
  const at = r.detail?.at !== undefined && Number.isInteger(Number(r.detail.at)) ? `spoke ${Number(r.detail.at) + 1}` : '';
  const limit = bound.all ? `limit ${exact(bound.all)}${guard}` : '';
  return {
    code: r.code, name, verdict: r.verdict, v: verdictMark(r.verdict), value: exact(r.shown ?? r.value ?? ''), unit: symbol(r.unit === '1' ? '' : r.unit ?? ''),
    note: [limit, over || at].filter(Boolean).join(', '),
  };
}

/** passing names the tiles that pass, for a phone that shows the others only. */
export function passing(list) {
  const names = list.filter((t) => t.verdict === 'pass').map((t, i) => (i ? t.name.replace(/^\w(?=[a-z])/, (c) => c.toLowerCase()) : t.name));
  return names.length ? `${joined(names)} ${names.length === 1 ? 'passes' : 'pass'}.` : '';
}

/** gradeOf is by what the wheel was judged: grade, revision, rule. */
export function gradeOf(specification) {
  if (!specification?.revision) return '';
  const { grade, revision, rule } = specification;
  const name = !grade ? 'Specification' : grade.length < 2 ? `Grade ${grade}` : `${capital(grade)} grade`;
  return `${name}, revision ${revision}${rule === 'guarded' ? ', limits less uncertainty' : ''}.`;
}

const stepsWord = (numbers) => `${numbers.length === 1 ? 'step' : 'steps'} ${joined(numbers.map(String))}`;

/** beforeSaid says which steps ticked here had been made before, by whom, and what to do about it. */
export function beforeSaid(before) {
  if (!before?.length) return '';
  const many = before.length > 1;
  const names = [...new Set(before.map((b) => b.by || 'somebody'))];
  const at = moment(before.map((b) => b.at).sort().at(-1));
  const word = before.every((b) => b.first) ? 'already by' : 'by';
  return `${capital(stepsWord(before.map((b) => b.n)))} ${many ? 'were' : 'was'} made ${word} ${joined(names)}, ${many ? 'last at ' : ''}${at}. If you turned ${many ? 'them' : 'it'} too, turn ${many ? 'them' : 'it'} back by as much.`;
}

/** heardSaid says what others did to a list that lies open here. */
export function heardSaid({ made, back }) {
  const out = [];
  for (const name of new Set(made.map((t) => t.turned_by || 'somebody'))) out.push(`${stepsWord(made.filter((t) => (t.turned_by || 'somebody') === name).map((t) => t.n))} made by ${name}`);
  if (back.length) out.push(`${stepsWord(back.map((t) => t.n))} taken back`);
  return out.length ? `${capital(out.join('; '))}.` : '';
}

/** othersSaid asks before another's step is taken back. */
export const othersSaid = (turn) => `Step ${turn.n}, spoke ${turn.spoke + 1}, was made by ${turn.turned_by || 'somebody'}, ${turn.turned_at ? moment(turn.turned_at) : 'not sent yet'}. Press Back again to take it back.`;

const NAMED = 6; // spokes that a remark names; more are counted

/** remarksOf says in words what is particular about a list. */
export function remarksOf(answer, list) {
  const out = [];
  const numbers = (spokes) => (spokes.length > NAMED ? `${spokes.length} spokes` : `${spokes.length === 1 ? 'spoke' : 'spokes'} ${joined(spokes.map((s) => String(s + 1)))}`);
  if (answer.take_tension_out) out.push(...tensionOut(answer, list));
  if (answer.learned?.rounds === 0) out.push(`First round on this rim and spoke: at most ${answer.largest_turn === 0.5 ? 'half a turn' : `${fraction(answer.largest_turn, 16)} turn`}.`);
  const less = [list?.halved?.length && !answer.take_tension_out ? `${numbers(list.halved)} turned in parts` : '', list?.dropped?.length ? `${numbers(list.dropped)} left as ${list.dropped.length === 1 ? 'it is' : 'they are'}` : ''].filter(Boolean);
  if (less.length) out.push(`To stay below the most tension: ${less.join(', ')}.`);
  if (answer.answered?.cause === 'late_turns') out.push('Some turns reached the office after these readings: the round before teaches nothing.');
  const moves = list?.after && answer.before ? list.after.lateral_mean - answer.before.lateral_mean : 0;
  if (Math.abs(moves) >= 0.05) out.push(`The whole rim moves ${fixed(Math.abs(moves), 2)} mm toward side ${moves > 0 ? 'A' : 'B'} for the dish; the strip shows the run-out alone.`);
  if (answer.targets_lowered && !answer.take_tension_out) out.push('The tension asked for was lowered to what this rim allows.');
  return out;
}

/** tensionOut says how far tension is over, what stays, and where no order of loosening keeps it from rising first. */
function tensionOut(answer, list) {
  const { ceiling: most, tension_max: rim } = answer.limits ?? {};
  const over = (condition) => Math.round(Math.max(0, (condition?.highest ?? 0) - most));
  const now = over(answer.before);
  const stays = over(list?.after);
  const out = [now > 0 ? `Tension is ${now} N over the ceiling${rim ? ` of ${fixed(most, 0)} N (${rim > most ? `the rim maker’s maximum of ${fixed(rim, 0)} N less the gauge’s uncertainty` : 'the rim maker’s maximum'})` : ''}, after this list ${stays ? `${stays} N` : 'no more'}: it only loosens.` : 'This list only loosens.'];
  if (list?.lift >= 1) out.push(`On the way the highest rises by ${fixed(list.lift, 0)} N, whichever nipple comes first.`);
  return out;
}

/** lastRound is one line about the list before: what was predicted and what was read. */
export function lastRound(after) {
  if (!after?.predicted || !after.observed) return '';
  const told = after.lateral?.told === false && after.tension?.told === false ? ', too small a change to learn from' : '';
  return `Last round: ${fixed(after.predicted.lateral_tir, 2)} mm predicted, ${fixed(after.observed.lateral_tir, 2)} read${told}.`;
}
