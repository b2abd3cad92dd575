// The turns as a description of what is to be seen; stand-turns-view.js paints it.
import { nameOf, begunOf, choiceOf, closedOf, saidOfStop, turnsOf, stepOf, lastTurned, leftOf, partsOf, fraction } from './stand-turns-list.js';
import * as words from './stand-turns-words.js';
import { turnsStrip, changeChart, reachOf } from './stand-turns-strip.js';
import { list as joined } from './floor-format.js';

/** turnsScreen describes what a turn list shows. kept is what this tablet knows of it. */
export function turnsScreen({ kept, chosen = 'short', walked = null, narrow = false, said = null, way = null, busy = false }) {
  const { answer, pending } = kept;
  if (answer.state === 'stop') return stopScreen(answer, { narrow, way, said, busy });
  if (closedOf(answer)) return closedScreen(kept, said);
  const name = nameOf(answer, pending, chosen);
  const list = answer.state === 'ready' ? answer[name] : null;
  const turns = list ? turnsOf(answer, pending, name) : [];
  const step = list ? stepOf(turns, walked) : null;
  const parts = partsOf(answer);
  const tiles = kept.tiles ?? [];
  const s = {
    kind: answer.state, title: words.titleOf(answer, turns), said, tiles,
    sub: [[words.lastRound(answer.after), kept.grade].filter(Boolean).join(' '), list && turns.length ? answer.honest : ''].filter(Boolean), passing: words.passing(tiles),
    picture: answer.measured ? turnsStrip({ answer, list, turns, step, parts, narrow, low: Boolean(holdOf(answer)) }) : null,
    keyline: list && turns.length ? { parts: `in ${words.partsWord(parts)}${words.partsExample(parts) ? `: ${words.partsExample(parts)}` : ''}`, joint: Boolean(answer.rim?.joint) } : null,
    foot: footOf(answer), hold: holdOf(answer),
  };
  if (!list || !turns.length) {
    const why = without(answer);
    return { ...s, ...why, focus: why.keys[0].does };
  }
  const left = leftOf(turns);
  const begun = begunOf(answer, pending);
  return {
    ...s,
    step: step ? stepWords(step, turns, parts, kept.marks) : null, done: !left,
    go: left ? (step?.turned ? { label: 'Next turn', does: 'next' } : { label: 'Turned', does: 'turned' }) : { label: 'Measure again', does: 'measure' },
    back: { disabled: !lastTurned(turns, pending, name) },
    rows: turns.map((t) => ({ n: t.n, turned: t.turned, now: t.n === step?.n, what: words.doing(t), part: fraction(t.turns, parts), spoke: t.spoke + 1, side: words.sideOf(t) })),
    lists: choiceOf(answer) ? ['short', 'all'].map((k) => ({ key: k, label: `${k === 'short' ? 'Short' : 'All'}, ${answer[k].turns.length}`, on: k === name, disabled: Boolean(begun) && begun !== k })) : [],
    facts: factsOf(answer, list), remarks: words.remarksOf(answer, list),
    measure: left ? { small: `${left} of ${words.plural(turns.length, 'turn')} left` } : null,
    focus: 'go',
  };
}

function stepWords(step, turns, parts, marks) {
  const { side, lean } = words.whereOf(step, marks);
  const loosen = step.turns < 0 && turns.some((t) => t.turns > 0);
  return {
    lab: [`Step ${step.n} of ${turns.length}`, step.turned ? 'turned' : loosen ? 'loosen first' : '', step.highest ? `highest ${words.fixed(step.highest, 0)} N` : ''].filter(Boolean).join(', '),
    spoke: String(step.spoke + 1), how: `${words.doing(step)} ${fraction(step.turns, parts)}`, side, lean, turned: step.turned,
  };
}

/** factsOf is what the list comes to, and the highest tension on the way. */
function factsOf(answer, list) {
  const { after, highest, highest_at: at, highest_after: n } = list;
  const { tension_max: most, ceiling } = answer.limits ?? {};
  const over = ceiling && highest > ceiling + 0.5;
  return {
    rows: [
      { name: 'Lateral, radial then', value: `${words.fixed(after.lateral_tir, 2)}, ${words.fixed(after.radial_tir, 2)}`, unit: 'mm' },
      { name: 'Deviation A, B then', value: `${words.fixed(after.deviation_pct_a, 1)}, ${words.fixed(after.deviation_pct_b, 1)}`, unit: '%' },
      { name: 'Highest on the way', value: words.fixed(highest, 0), unit: 'N', over },
    ],
    note: `spoke ${at + 1} ${n > 0 ? `after step ${n}` : 'as it is'}${over ? `; ceiling ${words.fixed(ceiling, 0)} N` : most ? `; rim allows ${words.fixed(most, 0)} N` : ''}`,
  };
}

/** footOf is what turning cannot fix. The office's sentence begins with what it is about. */
function footOf(answer) {
  const text = answer.rim?.text ?? '';
  const cut = text.indexOf(': ');
  return { lead: cut > 0 ? text.slice(0, cut + 1) : '', text: cut > 0 ? text.slice(cut + 1) : text };
}

/** holdOf is the way to a nonconformity where the rim is at fault. */
function holdOf(answer) {
  if (!answer.rim_not_builder?.length) return null;
  const reason = answer.rim?.text || 'The rim, not the lacing: the best turns leave the run-out over its limit.';
  const code = answer.rim?.joint ? 'W14' : answer.rim_not_builder[0].startsWith('lateral') ? 'W01' : 'W02';
  return { href: `/items/${encodeURIComponent(answer.serial)}/hold?${new URLSearchParams({ code, reason })}`, label: 'Open a nonconformity' };
}

/** Reasons against a list that nothing can be filled in for. */
const hindrances = ['too_tight', 'no_room', 'too_many_spokes', 'other_holes'];

function leadOf(answer) {
  if (saidOfStop(answer)) return 'What happened is on record. Before a new list:';
  return answer.missing.some((m) => hindrances.includes(m.code)) ? 'No turns can be calculated:' : 'The turn list needs what is missing here:';
}

/** closedScreen: the wheel was read again, or the list made anew. Calm: nothing is wrong, and the ways on are there. */
function closedScreen({ answer, pending }, said) {
  const { made, of } = countOf(answer, pending);
  return {
    kind: 'closed', title: words.titleOf(answer, []), sub: [], tiles: [], passing: '', picture: null, keyline: null, foot: { lead: '', text: '' }, hold: null, said,
    lead: 'This wheel was read again since; this list is closed.',
    points: made ? [{ text: `${made} of its ${words.plural(of, 'turn')} ${made === 1 ? 'was' : 'were'} made and ${made === 1 ? 'stays' : 'stay'} on record.` }] : [],
    keys: [{ does: 'newest', label: 'Newest list', small: 'of the newest readings', accent: true }, { ...measure, accent: false }, leave], focus: 'newest',
  };
}

function countOf(answer, pending) {
  const turns = turnsOf(answer, pending, nameOf(answer, pending, 'short'));
  return { of: turns.length, made: turns.length - leftOf(turns) };
}

/** without says why there is no list, and what to do instead. */
function without(answer) {
  switch (answer.state) {
    case 'slack': {
      const spokes = answer.slack?.spokes ?? [];
      return { lead: `${answer.slack?.text ?? ''}.`, points: [{ text: `Start at ${spokes.length === 1 ? 'spoke' : 'spokes'} ${joined(spokes.map((s) => String(s + 1)))}.` }, { text: 'Then measure every hole again.' }], keys: [measure, leave] };
    }
    case 'missing': {
      const again = answer.missing.some((m) => /every_hole$|^read_|_since$|^too_tight$|^other_holes$/.test(m.code));
      const told = saidOfStop(answer);
      const by = told ? [{ text: `Said by ${told.person}.` }] : [];
      return {
        lead: leadOf(answer),
        points: [...answer.missing.map((m) => ({ text: m.text, href: m.href, link: m.href ? 'Fill it in' : '' })), ...by],
        keys: [...(again && told ? [{ does: 'again', label: 'Read again', small: 'as a correction', accent: true }] : []), { ...measure, label: 'Measure every hole', small: 'opens this wheel', accent: false }, leave],
      };
    }
    default:
      return { lead: answer.rim_not_builder?.length ? 'The best turns leave this over its limit.' : 'The wheel is as good as turning makes it: no turn would better it by more than the gauges can tell.', points: [], keys: [leave, { ...measure, accent: false }] };
  }
}

const measure = { does: 'measure', label: 'Measure again', small: 'every hole', accent: true };
const leave = { does: 'leave', label: 'Next wheel', small: 'scan or type' };

/** stopScreen: readings that contradict the turns. Nothing is chosen by itself. */
function stopScreen(answer, { narrow, way, said, busy }) {
  const { stop, after } = answer;
  const ways = [...stop.ways];
  const best = ways.find((w) => w.best) ?? ways.find((w) => w.cause === 'not_sure') ?? ways.at(-1);
  const looked = ways.find((w) => w.cause === way && w.predicted) ?? ways.find((w) => w.best && w.predicted) ?? ways.find((w) => w.predicted);
  const made = after?.turned || 0;
  const scaleOf = reachOf([stop.observed, stop.predicted, looked?.predicted]);
  const listed = fits(ways.find((w) => w.cause === 'as_listed'));
  const charts = [{
    title: made ? `If the ${words.plural(made, 'turn')} ${made === 1 ? 'was' : 'were'} made as listed` : 'If the turns were made as listed', v: listed,
    picture: changeChart({ id: 'listed', observed: stop.observed, predicted: stop.predicted, scaleOf, narrow }),
  }];
  if (looked && looked.cause !== 'as_listed') charts.push({ title: looked.title, v: looked.best ? { tone: 'pass', shape: 'tick', word: 'fits' } : fits(looked), picture: changeChart({ id: 'other', observed: stop.observed, predicted: looked.predicted, scaleOf, narrow }) });
  return {
    kind: 'stop', title: stop.title, text: stop.text, said, charts, busy,
    ways: ways.map((w) => ({ cause: w.cause, title: w.title, text: w.text, fit: w.fit ? `fit ${words.fixed(w.fit.lateral, 2)}, ${words.fixed(w.fit.tension, 2)}` : '', best: Boolean(w.best) })),
    others: [{ does: 'wrong', label: 'Another wheel', small: 'was on the stand: move the readings' }, { ...measure, accent: false }, leave],
    focus: best?.cause ?? '',
  };
}

const FITS = 0.7; // the least correlation that supports an explanation

function fits(way) {
  if (!way?.fit) return { tone: 'fail', shape: 'cross', word: 'does not fit' };
  return way.fit.lateral >= FITS && way.fit.tension >= FITS ? { tone: 'care', shape: 'triangle', word: 'fits less well' } : { tone: 'fail', shape: 'cross', word: 'does not fit' };
}

/** awayScreen: the office makes the list, and it does not answer. */
export function awayScreen({ print, serial, text }) {
  return { kind: 'away', title: 'The turn list comes when the office answers', sub: [], tiles: [], passing: '', picture: null, keyline: null, foot: { lead: '', text: '' }, hold: null, said: null,
    lead: text || `The readings${print ? ` of ${print}` : ''} are kept. What to turn is worked out in the office.`, points: [], keys: [{ does: 'retry', label: 'Try again', small: 'asks the office' }, ...(serial ? [{ ...measure, accent: false }] : []), leave], focus: 'retry' };
}
