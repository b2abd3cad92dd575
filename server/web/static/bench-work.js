// The work on a pack before it is read: its building steps, its charge, its
// rest. What the office knows, with what was done here and has not reached it
// yet on top. Nothing here knows of pages.
import * as decimal from './floor-decimal.js';
import { moment, shown } from './floor-format.js';

const HOUR = 3600000; // ms

/** PROVISIONAL is from how many hours of rest on a voltage is judged as provisional. Common practice, no source. */
export const PROVISIONAL = 4;

/** STRINGS_JOINED is the step that takes the voltage of each string. */
export const STRINGS_JOINED = 'strings_joined';

/**
 * actOf is something done, as it is kept and sent: {id, serial, at, by, does,
 * act}. does is one of {kind: 'tick', step, done, volts}, {kind: 'charge',
 * charge, what, charger}, {kind: 'end', charge, current}, {kind: 'make',
 * product}; act is the request that says so to the office.
 */
export function actOf({ id, serial, at, by, does }) {
  const item = `items/${encodeURIComponent(serial)}`;
  const when = new Date(at).toISOString();
  const act = {
    tick: () => ({ method: 'PUT', path: `${item}/build/${encodeURIComponent(does.step)}`, body: { done: does.done, at: when, ...(does.volts ? { string_volts: does.volts } : {}) } }),
    charge: () => ({ method: 'POST', path: `${item}/charges`, body: { id: does.charge, kind: does.what, charger: does.charger, started_at: when } }),
    end: () => ({ method: 'POST', path: `charges/${encodeURIComponent(does.charge)}/end`, body: { end_current_a: does.current, ended_at: when } }),
    make: () => ({ method: 'POST', path: 'items', body: { serial, product: does.product } }),
  }[does.kind]();
  return { id, serial, at, by, does, act };
}

/** withActs is how a pack stands with what was done here, oldest first, and is not in the office yet. */
export function withActs(build, acts) {
  if (!build) return null;
  let out = { ...build, steps: build.steps.map((s) => ({ ...s })), history: [...build.history] };
  for (const { does, at, by } of acts) {
    const when = new Date(at).toISOString();
    if (does.kind === 'tick') {
      const step = out.steps.find((s) => s.code === does.step);
      if (!step) continue;
      Object.assign(step, { done: does.done, done_at: when, done_by: by, string_volts: does.volts, waits: true });
      out.history.push({ step: does.step, done: does.done, at: when, by });
    } else if (does.kind === 'charge') {
      out = { ...out, charge: { id: does.charge, kind: does.what, charger: does.charger, started_at: when, started_by: by, waits: true } };
    } else if (does.kind === 'end' && out.charge?.id === does.charge) {
      out = { ...out, charge: { ...out.charge, ended_at: when, ended_by: by, end_current_a: does.current, waits: true } };
    }
  }
  return out;
}

/** answeredBy is how a pack stands once the office has answered for an act. */
export function answeredBy(build, does, answer) {
  if (does.kind === 'tick') return answer;
  if (does.kind === 'charge' || does.kind === 'end') return { ...build, charge: answer };
  return build;
}

/** stepsOf counts the steps: {all, done, next}; next is the first that is open. */
export function stepsOf(build) {
  const all = build?.steps ?? [];
  return { all, done: all.filter((s) => s.done).length, next: all.find((s) => !s.done) ?? null };
}

/** lastDone is the step that was ticked last, which Undo takes back; null when none is done. */
export function lastDone(build) {
  const done = stepsOf(build).all.filter((s) => s.done);
  return done.reduce((a, b) => (!a || Date.parse(b.done_at) >= Date.parse(a.done_at) ? b : a), null);
}

/** takenBack lists the steps that were ticked and taken back, in words, newest first. */
export function takenBack(build) {
  const words = new Map((build?.steps ?? []).map((s) => [s.code, s.words]));
  return (build?.history ?? []).filter((h) => !h.done).reverse().map((h) => `${words.get(h.step) ?? h.step}: taken back by ${h.by}, ${moment(h.at)}`);
}

/**
 * restOf is how far a pack is between charger and reading at a moment: {state,
 * since, provisional, opens, hours}; state is none, charging, short (less than
 * 4 h), provisional or rested. Times are milliseconds, hours those that passed.
 */
export function restOf(build, now) {
  const charge = build?.charge;
  if (!charge) return { state: 'none' };
  if (!charge.ended_at) return { state: 'charging', since: Date.parse(charge.started_at), charger: charge.charger ?? '' };
  const since = Date.parse(charge.ended_at);
  const wanted = build.rest_hours ?? 24;
  const opens = since + wanted * HOUR;
  const provisional = since + Math.min(PROVISIONAL, wanted) * HOUR;
  const state = now >= opens ? 'rested' : now >= provisional ? 'provisional' : 'short';
  return { state, since, provisional, opens, wanted, hours: Math.max(0, now - since) / HOUR };
}

/** spanText is a rest in words: 26 h 10 min. Minutes that are not full do not count. */
export function spanText(hours) {
  const minutes = Math.floor(hours * 60 + 1e-9);
  return `${Math.floor(minutes / 60)} h ${minutes % 60} min`;
}

/** recordedRest is the rest by the record in hours with one decimal, cut and not rounded: none is said that was not had. '' where none is known. */
export function recordedRest(build, now) {
  const rest = restOf(build, now);
  return rest.hours === undefined ? '' : (Math.floor(rest.hours * 10 + 1e-9) / 10).toFixed(1);
}

/**
 * contradicts says whether a typed rest lies further from the recorded one than
 * rounding explains: half an hour and a twentieth. Common practice, no source.
 */
export function contradicts(build, typed, now) {
  const { hours } = restOf(build, now);
  return hours !== undefined && Math.abs(decimal.number(typed) - hours) > 0.5 + 0.05 * hours;
}

/** apartSaid is why strings are not joined. */
export const apartSaid = ({ range, limit }) => `The strings differ by ${shown(range)} V, more than the ${shown(limit)} V allowed: charge each singly first`;

/**
 * stringRefused is why a voltage of string n is not taken for joining, '' where
 * nothing speaks against it: on a charger or before the rest is over by the
 * record, or a voltage that no rested string of this pack has.
 */
export function stringRefused(build, value, n, now) {
  const rest = restOf(build, now);
  if (rest.state === 'charging') return `By the record it is on ${rest.charger || 'a charger'}: strings are joined off it, rested`;
  if (rest.hours !== undefined && rest.state !== 'rested') return `It rests since ${spanText(rest.hours)}: strings are joined after ${rest.wanted} h`;
  const [least, most] = [build.string_least_v, build.string_most_v].map((text) => decimal.plain(text ?? ''));
  const is = `String ${n} reads ${shown(value)} V`;
  if (decimal.sign(value) < 0) return `${is}: it is the wrong way round, or the leads are`;
  if (least && decimal.cmp(value, least) < 0) return `${is}, below the ${shown(least)} V of a rested string: a block is missing, reversed or dead`;
  if (most && decimal.cmp(value, most) > 0) return `${is}, above the ${shown(most)} V of a rested string: it still carries a charge, or is another pack’s`;
  return '';
}

/** cautionsAt are the words told at a part of the work, and those told all along. */
export const cautionsAt = (build, at) => (build?.cautions ?? []).filter((c) => !c.at || c.at === at).map((c) => c.message);

/**
 * mayJoin compares typed string voltages with how far strings may differ:
 * {range, limit, ok}, exact decimals; equal to the limit passes.
 */
export function mayJoin(build, volts) {
  const limit = decimal.plain(build.join_limit_v ?? '');
  const range = decimal.sub(decimal.max(volts), decimal.min(volts));
  return { range, limit, ok: !limit || decimal.cmp(range, limit) <= 0 };
}
