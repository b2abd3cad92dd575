// From a serial to a job: the plan, its product where a printed roll names
// none, a draft that is open already, and whose it is.
import * as api from './floor-api.js';
import { readPlan } from './floor-plan.js';
import { newJob } from './floor-job.js';
import { resume } from './floor-submission.js';
import { freshId } from './floor-id.js';
import { moment } from './floor-format.js';

/**
 * openSerial finds what is to be read. It answers with one of
 * {refused: {text, reason}}, {elsewhere: path}, {choice: {text, options}} whose
 * options give such an answer in their turn, or {plan, job, version}.
 */
export async function openSerial(kind, who, typed, { product = '', stage = '' } = {}) {
  let plan;
  try {
    plan = readPlan(await api.getPlan(typed, { product, stage }));
  } catch (err) {
    return notFound(kind, who, typed, err);
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

/** openDraft goes on with a draft, taking it over from somebody else if asked. */
export async function openDraft(kind, who, id, { take }) {
  try {
    const draft = take ? await api.takeOverDraft(id) : await api.getDraft(id);
    if (draft.closed) return { refused: { text: draft.print ?? '', reason: 'This inspection was sent or set aside already' } };
    const content = draft.content;
    const plan = readPlan(await api.getPlan(content.serial, { product: content.product, stage: content.stage }));
    if (plan.kind && plan.kind !== kind.kind) return { elsewhere: `${plan.kind === 'pack' ? '/bench' : '/stand'}?draft=${encodeURIComponent(id)}` };
    let job = resume(content, plan, kind);
    if (kind.given) job = kind.given(plan, job);
    return { plan, job, version: draft.version, resumed: true };
  } catch (err) {
    return { refused: { text: '', reason: err instanceof api.NoAnswer ? 'The office does not answer. Try again' : err.errors?.[0]?.message || err.message } };
  }
}

async function notFound(kind, who, typed, err) {
  const refused = (reason) => ({ refused: { text: typed, reason } });
  if (err instanceof api.NoAnswer) return refused('The office does not answer. Try again');
  const problem = err.errors?.[0];
  if (err.status === 404) return refused(`No ${kind.thing} answers to this`);
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
