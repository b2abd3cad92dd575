// Screens that are not the taking of readings: before a serial, while the
// office judges, and the verdict with the next serial's field waiting.
import { h } from './floor-dom.js';
import { moment } from './floor-format.js';
import { aboutVerdict, verdictPanel } from './floor-verdict.js';
import { instrumentOf } from './floor-plan.js';
import { stageName } from './stand-words.js';

const serialField = (kind, says) => ({ says, hint: 'its last 5 do', letters: true, label: `Serial of the ${kind.thing}`, units: [] });

/** emptyStrip is the place of the rim or the string before there is one. */
function emptyPicture(narrow) {
  const width = narrow ? 366 : 992;
  const squares = [];
  for (let i = 0; i < 36; i++) {
    squares.push(['rect', { x: (width / 36) * (i + 0.5) - 4, y: 40, width: 8, height: 8, fill: 'none', stroke: 'var(--edge)', 'stroke-width': 1.2, 'stroke-dasharray': '2.5 2' }]);
  }
  return ['svg', { width, height: 90, viewBox: `0 0 ${width} 90`, class: 'strip', 'aria-hidden': 'true' }, ...squares];
}

/** startScreen asks for a serial and lists what is open. */
export function startScreen(kind, model) {
  const { refused, opening } = model;
  const last = refused
    ? { tone: 'refused', lab: { tone: 'fail', shape: 'cross', word: 'Refused' }, rest: '', value: refused.text, text: true, struck: !refused.keeps, sub: refused.reason }
    : { tone: '', lab: { tone: 'plain', shape: 'open', word: opening ? 'Looking it up' : 'Nothing on the stand' }, value: opening || model.typed || '', text: true, sub: '' };
  const n = model.drafts?.length ?? 0;
  const turns = model.turns?.length ?? 0;
  return {
    title: `Scan a ${kind.thing}`, quick: true, ticking: false, start: true,
    ask: { lab: 'Now', lead: 'Scan a', big: kind.thing, how: 'or type its last 5 characters' },
    last,
    third: {
      lab: model.person ? `${model.person}${model.place ? `, ${model.place}` : ''}` : '',
      v: { tone: 'ink', shape: n || turns ? 'square' : 'open', word: n ? `${n} begun, not sent` : turns ? `${turns} with turns begun` : model.drafts ? 'Nothing left open' : 'Ready' },
      note: model.missing || (n ? 'Take one over below, or scan another.' : ''), short: '',
    },
    picture: emptyPicture(model.narrow), sets: [], tools: [{ does: 'camera', label: 'Camera', small: 'in place of a scanner' }],
    drafts: (act) => draftList(kind, model, act),
    field: serialField(kind, 'Scanner ready'),
    go: { label: 'Open', small: `scan or type a serial` },
  };
}

function draftList(kind, model, act) {
  const drafts = (model.drafts ?? []);
  const aside = [asideList(model.aside ?? [], act), othersList(model, act), turnsList(model.turns ?? [], act)].filter(Boolean);
  if (!drafts.length) return aside.length ? aside : h('p', { class: 'none' }, model.draftsFailed ? 'The list of begun inspections could not be read.' : 'No inspection is begun and not sent.');
  return [aside, h('ul', { class: 'drafts', 'aria-label': 'Begun and not sent' }, drafts.map((d) => {
    const mine = d.person_id === model.personId;
    return h('li', {}, h('span', { class: 'mono' }, d.print || d.serial), h('span', {}, stageName(d.stage)), h('span', { class: 'small' }, `${mine ? 'yours' : d.person || 'somebody'}${d.place ? `, ${d.place}` : ''}, ${moment(d.updated_at)}`),
      h('button', { class: 'key words', type: 'button', onclick: () => act.openDraft(d, !mine) }, mine ? 'Go on' : 'Take over'));
  }))];
}

/** othersList names those of whom something waits at this tablet, and lets their readings be sent for one who signs in here no more. */
function othersList({ others = [], device }, act) {
  if (!others.length) return null;
  return h('ul', { class: 'drafts', 'aria-label': 'Waiting, of others' }, others.map((o) => h('li', {}, h('span', {}, o.name), h('span', {}, `${o.count} waiting`),
    h('span', { class: 'small' }, o.name === 'somebody' ? 'sent when they sign in here' : `sent when ${o.name} signs in here`),
    device && o.readings ? h('button', { class: 'key words', type: 'button', onclick: () => act.handOver(o.person) }, 'Send for them', h('small', {}, 'if they have left')) : null)));
}

/** turnsList names the wheels whose turns are begun at this tablet. */
function turnsList(turns, act) {
  if (!turns.length) return null;
  return h('ul', { class: 'drafts', 'aria-label': 'Turns begun' }, turns.map((t) => h('li', {}, h('span', { class: 'mono' }, t.print), h('span', {}, t.stop ? 'Stop' : 'Turns'),
    h('span', { class: 'small' }, `${t.stop ? 'say what happened' : `${t.made} of ${t.of} made`}, ${moment(new Date(t.at).toISOString())}`), h('button', { class: 'key words', type: 'button', onclick: () => act.openTurns(t.id) }, 'Go on'))));
}

/** actName is what was done, in a word. */
const actName = (does) => ({ tick: does.done ? 'step ticked' : 'step taken back', charge: 'charge begun', end: 'charge ended', make: 'label taken into use' })[does.kind];

/** asideList names what the office would not take: it is kept here until a person has settled it. */
function asideList(aside, act) {
  if (!aside.length) return null;
  return h('ul', { class: 'drafts', 'aria-label': 'Set aside' }, aside.map((e) => h('li', {}, h('span', { class: 'mono' }, e.print), h('span', {}, e.state === 'conflict' ? 'Conflict' : 'Refused'),
    h('span', { class: 'small' }, `${e.sent?.does ? `${actName(e.sent.does)}: ` : ''}${e.said}, ${moment(new Date(e.at).toISOString())}`), e.sent?.act ? h('button', { class: 'key words', type: 'button', onclick: () => act.leaveAside(e.id) }, 'Leave it', h('small', {}, 'it was not done so')) : e.state === 'conflict' ? h('button', { class: 'key words', type: 'button', onclick: () => act.correct(e.id) }, 'Mine stand', h('small', {}, 'as a correction')) : h('button', { class: 'key words', type: 'button', onclick: () => act.sendAgain(e.id) }, 'Send again'))));
}

/** sendingScreen is the reading screen while the office judges. */
export function sendingScreen(screen) {
  return {
    ...screen, ticking: false, list: null,
    last: { tone: '', lab: { tone: 'plain', shape: 'open', word: 'Sent' }, rest: 'the office judges', value: '', sub: '' },
    go: { label: 'Wait', disabled: true }, field: { says: '', hint: '', units: [] },
  };
}

/** verdictScreen shows what the office said; the field waits for the next serial. */
export function verdictScreen(kind, model, screen) {
  const { plan, job, answer, savedAt } = model;
  const gauges = plan.specification.characteristics.filter((c) => c.instrument).map((c) => instrumentOf(plan, job, c.code)).filter(Boolean);
  const last = Math.max(0, ...Object.values(job.values).map((v) => v.at));
  const used = { ...kind.usedWords(plan, job, kind.figures(plan, job)), gauges };
  const unsaid = model.refused ? { tone: 'refused', lab: { tone: 'fail', shape: 'cross', word: 'Refused' }, rest: '', value: model.refused.text, text: true, struck: true, sub: model.refused.reason } : null;
  return {
    ...screen, ticking: false, list: null, entry: null, quick: true,
    title: `Verdict of ${plan.print}`, resting: true,
    ask: { lab: 'Now', lead: 'Scan the', big: `next ${kind.thing}`, long: true, how: 'or type its last 5' },
    verdict: unsaid ? { ...unsaid, lines: verdictPanel(answer, { plan, savedAt }).lines } : verdictPanel(answer, { plan, savedAt }),
    third: { ...aboutVerdict(answer, { plan, job, used, finishedAt: job.startedAt + last }) },
    field: serialField(kind, 'Scanner ready'),
    sets: answer.doubted ? [] : screen.sets, // no verdict, nor what stands for one
    tools: answer.doubted ? [{ does: 'turns', label: model.turns.label, small: model.turns.small }] : [...screen.tools.filter((t) => t.does === 'undo').map((t) => (answer.placed || answer.kept ? t : { ...t, disabled: true })), ...(answer.placed || answer.kept ? [{ does: 'wrong', label: `Wrong ${kind.thing}`, small: 'move it to another serial' }] : []), ...(model.turns && !model.turns.first ? [{ does: 'turns', label: 'What to turn', small: 'though it passes' }] : [])],
    go: model.turns?.first && !model.typed ? { label: model.turns.label ?? 'What to turn', small: model.turns.small ?? `or scan the next ${kind.thing}`, words: true } : { label: `Next ${kind.thing}`, small: 'scan or type', words: true },
  };
}
