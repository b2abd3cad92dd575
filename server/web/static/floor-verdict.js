// The office's answer, in the place of the value: the verdict as shape, word
// and colour, and each result with its reason.
import { clock, took, list, capital } from './floor-format.js';
import { symbol } from './floor-units.js';

const verdicts = {
  pass: { tone: 'pass', shape: 'tick', word: 'Passes' },
  fail: { tone: 'fail', shape: 'cross', word: 'Fails' },
  provisional: { tone: 'care', shape: 'triangle', word: 'Provisional' },
  incomplete: { tone: 'care', shape: 'open', word: 'Incomplete' },
  none: { tone: 'plain', shape: 'bar', word: 'Not judged' },
  conformity_verified: { tone: 'pass', shape: 'tick', word: 'Conformity shown' },
  conditional_pass: { tone: 'care', shape: 'triangle', word: 'Pass, in the guard band' },
  not_verified: { tone: 'care', shape: 'triangle', word: 'Not shown either way' },
  conditional_fail: { tone: 'fail', shape: 'cross', word: 'Fail, in the guard band' },
  nonconformity_verified: { tone: 'fail', shape: 'cross', word: 'Nonconformity shown' },
};

/** verdictMark is the shape, word and colour of a verdict. */
export const verdictMark = (v) => verdicts[v] ?? verdicts.none;

/** verdictPanel describes what the office said of an inspection. */
export function verdictPanel(answer, { plan, savedAt }) {
  if (answer.kept) {
    return { tone: '', lab: { word: `Saved, ${clock(savedAt)}` }, big: { tone: 'plain', shape: 'lines', word: 'Saved' }, sub: 'Judged when the office answers', lines: [] };
  }
  if (!answer.placed) {
    return {
      tone: 'v-care', lab: { word: `Kept, ${clock(savedAt)}` }, big: { tone: 'care', shape: 'triangle', word: 'Unplaced' },
      sub: answer.unplaced?.message ?? answer.unplaced?.cause?.message ?? 'A person in the office places it by hand. Nothing is lost.', lines: [],
    };
  }
  if (answer.doubted) return { tone: '', lab: { word: 'No verdict yet' }, big: { tone: 'hold', shape: 'bars', word: 'Stop' }, sub: 'These readings contradict the turns before them', lines: [] };
  const mark = verdictMark(answer.inspection.verdict);
  return {
    tone: `v-${mark.tone}`, lab: { word: `Verdict, saved ${clock(savedAt)}` }, big: mark,
    sub: [gradeWords(plan), answer.inspection.recheck ? 'a recheck' : ''].filter(Boolean).join(', '),
    lines: rows(answer.results ?? [], remarksOf(answer)),
  };
}

const gradeWords = (plan) => {
  const { grade, revision } = plan.specification;
  if (!grade) return `Specification, revision ${revision}`;
  return `${grade.length < 2 ? `Grade ${grade}` : grade.charAt(0).toUpperCase() + grade.slice(1) + ' grade'}, revision ${revision}`;
};

/** remarksOf are the office's remarks on an inspection, in whole sentences: what was not judged, and what to look at again. */
const remarksOf = (answer) => (answer.inspection?.remarks ?? []).map((r) => r.message).filter(Boolean);

/** rows lists what did not pass first, then what is worth knowing of it, then what was judged. */
function rows(results, remarks) {
  const order = { fail: 0, nonconformity_verified: 0, conditional_fail: 0, incomplete: 1, not_verified: 1, conditional_pass: 1, provisional: 2, pass: 3, conformity_verified: 3 };
  const ticked = (r) => (['yes', 'no', 'na'].includes(r.value) ? 1 : 0);
  const judged = results.filter((r) => r.verdict && r.verdict !== 'none')
    .sort((a, b) => (order[a.verdict] ?? 4) - (order[b.verdict] ?? 4) || ticked(a) - ticked(b)).map((r) => ({
    name: r.name || r.code, value: ticked(r) ? { yes: 'Yes', no: 'No', na: 'N.A.' }[r.value] : [r.shown ?? r.value ?? '', symbol(r.unit === '1' ? '' : r.unit)].filter(Boolean).join(' '), v: verdictMark(r.verdict), reason: order[r.verdict] === 3 ? '' : r.message ?? '',
  }));
  const passed = judged.findIndex((r) => r.v.tone === 'pass');
  judged.splice(passed < 0 ? judged.length : passed, 0, ...remarks.map((reason) => ({ name: 'Worth knowing', value: '', v: { tone: 'care', shape: 'triangle', word: '' }, reason })));
  return judged;
}

/** aboutVerdict stands beside it: method and count, the round, the gauges. */
export function aboutVerdict(answer, { plan, used, job, finishedAt }) {
  const inspection = answer.inspection;
  const set = inspection?.first_set ? 'First set after relief, ' : '';
  const gauges = [...new Set((used.gauges ?? []).map((g) => g.code))];
  const overdue = [...new Map((used.gauges ?? []).filter((g) => g.overdue).map((g) => [g.code, g])).values()];
  const remarks = remarksOf(answer).length;
  return {
    lab: used.how,
    lines: [`${used.count}, ${took(finishedAt - job.startedAt)}`, inspection ? `${set}round ${inspection.round ?? 1}` : '', gauges.length ? `Gauges ${list(gauges)}` : ''].filter(Boolean).map(capital),
    links: answer.kept ? null : [{ href: `/items/${encodeURIComponent(answer.item?.serial ?? plan.serial)}`, text: 'Item and certificate' }],
    note: [overdue[0] ? `${overdue[0].code} is overdue: printed as such.` : '', remarks ? `Worth knowing: ${remarks}, in the list.` : ''].filter(Boolean).join(' '),
  };
}
