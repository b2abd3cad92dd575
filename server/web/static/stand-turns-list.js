// A turn list as it stands: the office's answer, and what was ticked here and
// has not reached it yet. Nothing here knows of pages.

/** nameOf is the list in hand: the one that was begun, or the one chosen; never an empty one beside one that is not. */
export function nameOf(answer, pending, chosen) {
  const begun = begunOf(answer, pending);
  if (begun) return begun;
  const [first, other] = chosen === 'all' ? ['all', 'short'] : ['short', 'all'];
  return answer[first]?.turns.length ? first : answer[other]?.turns.length ? other : 'short';
}

/** choiceOf says whether there are two lists to choose from: neither is empty, and they are not the same turns. */
export function choiceOf(answer) {
  const [short, all] = ['short', 'all'].map((k) => (answer[k]?.turns ?? []).map((t) => `${t.spoke} ${t.turns}`));
  return short.length > 0 && all.length > 0 && [...short].sort().join() !== [...all].sort().join();
}

/** closedOf says that nothing of a list can be ticked any more: the wheel was read again since, or the list made anew. A stop stays to be answered. */
export const closedOf = (answer) => answer.state !== 'stop' && Boolean(answer.closed || answer.missing?.some((m) => m.code === 'read_again_since'));

/** begunOf is the list of which a turn stands as made; '' when none does. */
export function begunOf(answer, pending) {
  for (const name of ['short', 'all']) if (turnsOf(answer, pending, name).some((t) => t.turned)) return name;
  return '';
}

/** saidOfStop is what a person said happened at a stop. That turns came late is said by nobody: it settles itself. */
export const saidOfStop = (answer) => (answer.answered && answer.answered.cause !== 'late_turns' ? answer.answered : null);

/** turnsOf lists the turns with what was ticked here on top. */
export function turnsOf(answer, pending, name) {
  const last = new Map(pending.filter((p) => p.list === name).map((p) => [p.n, p]));
  return (answer[name]?.turns ?? []).map((t) => (last.has(t.n) && last.get(t.n).turned !== t.turned ? { ...t, turned: last.get(t.n).turned, turned_by: last.get(t.n).name ?? '', turned_at: null } : t));
}

/** stepOf is the turn in hand: the one walked to, or the first that is not made; null when all are. */
export function stepOf(turns, walked) {
  return turns.find((t) => t.n === walked) ?? turns.find((t) => !t.turned) ?? null;
}

/** lastTurned is what Back takes back: the turn made last. Those ticked here come after all that the office knows. */
export function lastTurned(turns, pending, name) {
  const at = (t) => {
    const here = pending.findLastIndex((p) => p.list === name && p.n === t.n);
    return here >= 0 ? [1, here] : [0, Date.parse(t.turned_at) || 0];
  };
  return turns.filter((t) => t.turned).sort((a, b) => at(b)[0] - at(a)[0] || at(b)[1] - at(a)[1] || b.n - a.n)[0] ?? null;
}

/**
 * backOf is what Back takes back: of what this person ticked at this tablet the
 * last; else the last of this person's from elsewhere; else, and then not own,
 * another's last. here lists what was ticked at this tablet.
 */
export function backOf(turns, pending, name, { here = [], person = '', me = '' } = {}) {
  const own = turns.filter((t) => t.turned && (!t.turned_by || t.turned_by === me));
  const last = here.findLast((m) => m.list === name && m.person === person && own.some((t) => t.n === m.n));
  const mine = (last && own.find((t) => t.n === last.n)) ?? lastTurned(own, pending, name);
  const turn = mine ?? lastTurned(turns, pending, name);
  return turn && { turn, own: Boolean(mine) };
}

const WELL_BEFORE = 60000; // ms between a turn on record and a tap from which the tap was a second one

/**
 * madeBefore is who had made a turn that was ticked here just now: another
 * person, or the same one well before; null where the tick itself stands. The
 * office keeps the first and says nothing. The tap is told by the office's clock.
 */
export function madeBefore(answer, tick, now) {
  const made = tick.turned ? answer[tick.list]?.turns.find((t) => t.n === tick.n) : null;
  if (!made?.turned || !made.turned_at) return null;
  const other = Boolean(tick.name && made.turned_by && made.turned_by !== tick.name);
  const tapped = (answer.said_at || now) - (now - tick.at);
  const at = Date.parse(made.turned_at);
  if (!other && at > tapped - WELL_BEFORE) return null;
  return { n: tick.n, by: made.turned_by, at: made.turned_at, first: at <= tapped };
}

/** changesOf is what is new in an answer about a list: turns made and taken back since; null when it says the same. */
export function changesOf(before, now) {
  const plain = ({ said_at, ...rest }) => JSON.stringify(rest);
  if (plain(before) === plain(now)) return null;
  const made = [];
  const back = [];
  for (const name of ['short', 'all']) {
    for (const t of now[name]?.turns ?? []) {
      const was = before[name]?.turns.find((x) => x.n === t.n);
      if (was && was.turned !== t.turned) (t.turned ? made : back).push(t);
    }
  }
  return { made, back, closed: closedOf(now) && !closedOf(before), state: now.state !== before.state };
}

/** leftAt is what is left to turn at a spoke, all its parts together. */
export const leftAt = (turns) => turns.filter((t) => !t.turned).reduce((sum, t) => sum + t.turns, 0);

export const leftOf = (turns) => turns.filter((t) => !t.turned).length;

/**
 * partsOf is into how many parts a turn is cut: as many as the shop's smallest
 * step asks for, and twice that where a turn was halved.
 */
export function partsOf(answer) {
  let parts = Math.max(1, Math.round(1 / (answer.step || 0.125)));
  const all = [...(answer.short?.turns ?? []), ...(answer.all?.turns ?? [])];
  while (parts < 128 && all.some((t) => Math.abs(t.turns * parts - Math.round(t.turns * parts)) > 1e-6)) parts *= 2;
  return parts;
}

/** countOf is a turn in those parts, without its sign. */
export const countOf = (turns, parts) => Math.round(Math.abs(turns) * parts);

/** fraction writes a turn: 2/16, and 1 1/8 where it is more than a whole one. */
export function fraction(turns, parts) {
  const count = countOf(turns, parts);
  const whole = Math.floor(count / parts);
  const rest = count % parts;
  if (!rest) return `${whole}`;
  return `${whole ? `${whole} ` : ''}${rest}/${parts}`;
}

/** tir is the highest less the lowest. */
export const tir = (values) => (values.length ? Math.max(...values) - Math.min(...values) : 0);

const mean = (values) => values.reduce((a, b) => a + b, 0) / Math.max(1, values.length);

/** centred takes the mean out: a rim has no zero of its radius. */
export function centred(values) {
  const m = mean(values);
  return values.map((v) => v - m);
}

/** meansOf is the mean tension of each side. */
export const meansOf = (tension) => ({ a: mean(tension.filter((_, i) => i % 2 === 0)), b: mean(tension.filter((_, i) => i % 2 === 1)) });

/**
 * bandMiddle is where a band as wide as the limit covers most evenly what was
 * read: between highest and lowest, so that both sides stick out alike, unless
 * a single hop would leave most of the rim outside; then around the median.
 */
export function bandMiddle(values, limit) {
  const middle = (Math.max(...values) + Math.min(...values)) / 2;
  const sorted = [...values].sort((a, b) => a - b);
  const within = values.filter((v) => Math.abs(v - middle) <= limit / 2 + 1e-9).length;
  return within * 2 >= values.length ? middle : (sorted[(sorted.length - 1) >> 1] + sorted[sorted.length >> 1]) / 2;
}

/** outsideBand lists what sticks out of that band. */
export function outsideBand(values, limit) {
  if (!limit || tir(values) <= limit + 1e-9) return new Set();
  const centre = bandMiddle(values, limit);
  return new Set(values.flatMap((v, i) => (Math.abs(v - centre) > limit / 2 + 1e-9 ? [i] : [])));
}

/** deviating lists the spokes further from the mean of their side than the limit allows, in percent. */
export function deviating(tension, percent) {
  const means = meansOf(tension);
  return new Set(tension.flatMap((t, i) => (percent && Math.abs(t / means[i % 2 ? 'b' : 'a'] - 1) * 100 > percent + 1e-9 ? [i] : [])));
}

/** atFault is which run-out a single line shows: the one that is further over its limit, else lateral. */
export function atFault(answer) {
  if (answer.rim_not_builder?.length) return answer.rim_not_builder[0].startsWith('radial') ? 'radial' : 'lateral';
  const { measured, limits = {} } = answer;
  const over = (values, limit) => (limit ? tir(values) / limit : 0);
  const radial = over(measured.radial, limits.radial_tir);
  return radial > 1 && radial > over(measured.lateral, limits.lateral_tir) ? 'radial' : 'lateral';
}
