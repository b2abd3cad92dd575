// From a serial to a job: the plan, its product where a printed roll names
// none, a draft that is open already, and whose it is.
import * as api from './floor-api.js';
import { readPlan } from './floor-plan.js';
import { newJob } from './floor-job.js';
import { resume } from './floor-submission.js';
import { freshId } from './floor-id.js';
import { moment } from './floor-format.js';
import { differ, mergeUnsaved } from './floor-merge.js';
import { keepPlan, keptPlan, likePlan } from './floor-kept.js';
import { serialOf, printed, scanned, noSerial, thingOf } from './floor-serial.js';

/**
 * openSerial finds what is to be read. It answers with one of
 * {refused: {text, reason}}, {elsewhere: path}, {choice: {text, options}} whose
 * options give such an answer in their turn, or {plan, job, version}.
 */
export async function openSerial(kind, who, typed, { product = '', stage = '' } = {}) {
  let plan;
  try {
    plan = await planOf(who, typed, { product, stage });
  } catch (err) {
    if (err instanceof api.NoAnswer) return openAway(kind, who, typed);
    return notFound(kind, who, scanned(typed) ?? typed, err);
  }
  if (!product && plan.products.length && !plan.specification.characteristics.length) {
    return { choice: {
      text: `${plan.print} is new here. Which product is it?`,
      options: plan.products.map((p) => ({ label: p.name, small: p.family ?? '', then: () => openSerial(kind, who, typed, { product: p.id, stage }) })),
    } };
  }
  if (plan.kind && plan.kind !== kind.kind) {
    return { elsewhere: `${plan.kind === 'pack' ? '/bench' : '/stand'}?serial=${encodeURIComponent(plan.serial)}` };
  }
  if (plan.draft) return openDraftOf(kind, who, plan, product);
  const here = (await who.kept.all('drafts')).find((d) => !d.saved && d.serial === plan.serial && d.person === who.personId);
  if (here) return openDraft(kind, who, here.id, { take: false }); // begun here while the office did not answer
  return fresh(kind, who, plan, product);
}

function fresh(kind, who, plan, product) {
  const job = newJob({
    id: freshId(), serial: plan.serial, product, stage: plan.stage, place: who.place,
    startedAt: Date.now(), methods: kind.begin(plan),
  });
  return { plan, job: kind.given ? kind.given(plan, job) : job, version: 0 };
}

function openDraftOf(kind, who, plan, product) {
  const d = plan.draft;
  if (d.person_id === who.personId) return openDraft(kind, who, d.id, { take: false });
  return { choice: {
    text: `${d.person || 'Somebody'} has this ${kind.thing} open since ${moment(d.updated_at)}${d.place ? `, ${d.place}` : ''}.`,
    options: [
      { label: 'Take over', small: 'go on where it stands', then: () => openDraft(kind, who, d.id, { take: true }) },
      { label: 'Begin anew', small: 'both are kept', then: async () => fresh(kind, who, plan, product || (d.content?.product ?? '')) },
    ],
  } };
}

/** planOf asks for a plan and keeps it for the time without the office; asked is when, by the page's own clock. */
async function planOf(who, serial, choice) {
  const asked = performance.now();
  const json = await api.getPlan(serial, choice);
  await keepPlan(who.kept, json, Date.now()).catch(() => {}); // a full tablet must not stop the work
  return { ...readPlan(json), asked };
}

/** planAnew is the plan of a job as the office has it now, or null where it does not say so within ms. */
export const planAnew = (who, { serial, product, stage }, ms) =>
  Promise.race([planOf(who, serial, { product, stage }).catch(() => null), new Promise((r) => { setTimeout(() => r(null), ms); })]);

/** openAway opens a serial while the office does not answer: with what is kept, or like a product that is. */
async function openAway(kind, who, whole) {
  const typed = scanned(whole) ?? whole;
  const json = await keptPlan(who.kept, typed);
  if (json) {
    const plan = readPlan(json);
    if (plan.kind && plan.kind !== kind.kind) return { elsewhere: `${plan.kind === 'pack' ? '/bench' : '/stand'}?serial=${encodeURIComponent(plan.serial)}` };
    const draft = (await who.kept.all('drafts')).find((d) => d.serial === plan.serial && d.person === who.personId);
    if (draft) return fromKept(kind, draft, plan);
    return fresh(kind, who, plan, plan.source === 'item' ? '' : plan.product?.id ?? '');
  }
  const { serial } = serialOf(typed);
  if (!serial) return { refused: { text: typed, reason: noSerial(whole, kind.thing) || 'Not kept on this tablet, and the office does not answer. The whole serial is needed' } };
  if (serial[0] !== kind.letter) return { refused: { text: typed, reason: `That is the serial of a ${thingOf(serial)}; that of a ${kind.thing} is wanted` } };
  const products = new Map((await who.kept.all('plans')).map((p) => p.plan).filter((p) => p.product?.id && (p.family?.kind ?? p.item?.kind) === kind.kind).map((p) => [p.product.id, p]));
  if (!products.size) return { refused: { text: typed, reason: `No ${kind.thing} was opened on this tablet yet, and the office does not answer` } };
  return { choice: {
    text: `${printed(serial)} is not known here, and the office does not answer. Read it as which product?`,
    options: [...products.values()].map((p) => ({ label: p.product.name, small: 'judged later', then: async () => fresh(kind, who, readPlan(likePlan(p, serial, printed(serial))), p.product.id) })),
  } };
}

/** read reads a draft's content back into a job. */
function read(kind, content, plan) {
  const job = resume(content, plan, kind);
  return kind.given ? kind.given(plan, job) : job;
}

/** fromKept goes on with a draft as this tablet has it. */
const fromKept = (kind, draft, plan) => ({ plan, job: read(kind, draft.content, plan), version: draft.version, base: draft.base, resumed: true, unsaved: !draft.saved });

/** withKept is a job of the office with what this tablet read of it and the office has not. */
function withKept(kind, job, here, plan) {
  const base = here.base ? resume(here.base, plan, kind).values : {};
  return mergeUnsaved(job, resume(here.content, plan, kind).values, base);
}

/** closedMeanwhile asks what becomes of readings that the office has not, of a draft that it has closed. */
async function closedMeanwhile(kind, who, draft, here) {
  const gone = { refused: { text: draft.print ?? '', reason: 'This inspection was sent or set aside already' } };
  const plan = here && !here.saved ? await planHere(who, here, true) : null;
  const sent = plan && await api.getInspection(draft.id).catch((err) => { if (err.status === 404) return null; throw err; });
  // What was sent holds more than the draft's last save.
  const content = sent ? { ...draft.content, started_at: sent.inspection.started_at, conditions: sent.inspection.conditions, sets: sent.sets } : draft.content;
  const theirs = plan && resume(content, plan, kind, { complete: Boolean(sent) });
  const job = plan && withKept(kind, theirs, here, plan);
  if (!plan || !differ(job.values, theirs.values)) {
    await who.kept.remove('drafts', draft.id);
    return gone;
  }
  return { choice: {
    text: `${here.print} was ${sent ? 'sent' : 'set aside'} meanwhile, without what this tablet read last.`,
    options: [
      { label: 'Go on with it', small: sent ? 'as a correction' : 'begun anew', then: async () => {
        await who.kept.remove('drafts', draft.id);
        return { plan, job: { ...job, id: freshId(), ...(sent ? { corrects: draft.id, reason: 'Read before it was sent, and not with it' } : {}) }, version: 0, resumed: true, unsaved: true };
      } },
      { label: 'Leave it out', small: 'forgotten here', then: async () => {
        await who.kept.remove('drafts', draft.id);
        return gone;
      } },
    ],
  } };
}

/** openDraft goes on with a draft, taking it over from somebody else if asked. */
export async function openDraft(kind, who, id, { take }) {
  const here = await who.kept.get('drafts', id);
  try {
    const draft = take ? await api.takeOverDraft(id) : await api.getDraft(id);
    if (draft.closed) return await closedMeanwhile(kind, who, draft, here);
    const { content } = draft;
    const plan = await planOf(who, content.serial, { product: content.product, stage: content.stage });
    if (plan.kind && plan.kind !== kind.kind) return { elsewhere: `${plan.kind === 'pack' ? '/bench' : '/stand'}?draft=${encodeURIComponent(id)}` };
    const there = { plan, job: read(kind, content, plan), version: draft.version, resumed: true };
    if (!here || here.saved) return there;
    // What was read here and did not reach the office goes on; where somebody saved meanwhile, as far as they left it alone.
    if (!take && here.version === draft.version) return fromKept(kind, here, plan);
    return { ...there, job: withKept(kind, there.job, here, plan), base: content, unsaved: true };
  } catch (err) {
    const unknown = err.status === 404; // the office has not heard of it yet, or was put back to a day before it
    if (here && (unknown || (!take && err instanceof api.NoAnswer))) {
      const plan = await planHere(who, here, unknown);
      if (plan) return { ...fromKept(kind, here, plan), ...(unknown ? { version: 0, base: null, unsaved: true } : {}) };
    }
    return { refused: { text: '', reason: err instanceof api.NoAnswer ? 'The office does not answer. Try again' : err.errors?.[0]?.message || err.message } };
  }
}

/** planHere is the plan of a draft kept here: of the office where it answers, or as it was kept with the draft. */
async function planHere(who, draft, ask) {
  if (ask) {
    const { serial, product, stage } = draft.content;
    const plan = await planOf(who, serial, { product, stage }).catch(() => null);
    if (plan) return plan;
  }
  return draft.plan ?? null;
}

async function notFound(kind, who, typed, err) {
  const refused = (reason) => ({ refused: { text: typed, reason } });
  const problem = err.errors?.[0];
  if (err.status === 404) return refused(problem?.message || `No ${kind.thing} answers to this`);
  if (problem?.code === 'serial_tail_not_unique') return chooseItem(kind, who, typed);
  return refused(problem?.message || err.message);
}

/** chooseItem: several end in the same five characters. */
async function chooseItem(kind, who, typed) {
  const items = (await api.findItems(typed).catch(() => [])).filter((i) => i.kind === kind.kind);
  if (!items.length) return { refused: { text: typed, reason: `No ${kind.thing} ends in this` } };
  return { choice: {
    text: `${items.length} end in this. Which one?`,
    options: items.map((i) => ({ label: i.print, small: i.product ?? '', then: () => openSerial(kind, who, i.serial) })),
  } };
}
