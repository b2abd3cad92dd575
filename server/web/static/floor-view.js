// Paints a screen into the page. The regions keep their places and sizes, so
// nothing moves when a value arrives; the capture field itself is never made
// anew, so it never loses the focus.
import { h, icon, mark, fromTree, paint, paintNew } from './floor-dom.js';
import { partOf } from './floor-choice.js';
import { sound, toneOfWords } from './floor-tones.js';

export const region = (id) => document.getElementById(id);

/** paintScreen draws every region from its description. */
export function paintScreen(s, act) {
  const page = region('floor');
  page.classList.toggle('quick', Boolean(s.quick || s.verdict));
  page.classList.toggle('done', Boolean(s.ticking || s.verdict));
  page.classList.toggle('asking', Boolean(s.choice));
  page.classList.toggle('start', Boolean(s.start));
  page.classList.toggle('working', Boolean(s.working));
  page.classList.toggle('resting', Boolean(s.start || s.resting));
  paintAsk(s.ask);
  paintLast(s.verdict ?? s.last);
  paintThird(s.third, act);
  paintNew(region('rim'), [s.picture, s.beside], () => [s.picture ? fromTree(s.picture) : null, s.beside ? beside(s.beside) : null]);
  const rim = region('rim');
  rim.classList.toggle('pack', Boolean(s.beside));
  if (rim.scrollHeight > rim.clientHeight + 1) rim.tabIndex = 0; // many strings scroll: Tab reaches them
  else rim.removeAttribute('tabindex');
  paintSets(s.sets, act);
  paintNew(region('tools'), s.tools, () => s.tools.map((t) => tool(t, act)));
  paintMiddle(s, act);
  paintField(s.field, s.ask, act);
  paintGo(s.go);
  const under = s.list || s.steps || s.verdict || s.start ? s.tools.filter((t) => ['undo', 'wrong', 'turns', 'camera', 'readings'].includes(t.does)) : [];
  paintNew(region('under'), under, () => under.map((t) => tool(t, act)));
}

function paintAsk(a) {
  if (a.number) {
    paint(region('ask'), h('h1', { class: 'lab' }, a.lab), h('div', { class: 'now-n' }, h('b', {}, a.number), h('div', {},
      h('div', { class: 'side' }, a.side ? h('span', { class: `sw ${a.side.toLowerCase()}` }) : null, a.sideText),
      h('div', { class: `lean ${a.mono ? 'mono' : ''}` }, a.lean.map((t, i) => (i ? [h('br'), t] : t))), a.leanMore ? h('div', { class: 'lean only-wide' }, a.leanMore) : null)));
    return;
  }
  paint(region('ask'), h('p', { class: 'lab' }, a.lab),
    h('h1', { class: `ask ${a.long ? 'long' : ''} ${a.words ? 'words' : ''}` }, a.lead, h('b', {}, a.big)), a.how ? h('p', { class: 'ask-how' }, a.how) : null);
}

const LONG = 56; // letters of a reason that fill more than two lines of their place

function paintLast(l) {
  const el = region('last');
  el.className = `last ${l.tone}`;
  const lab = h('p', { class: 'lab' }, mark(l.lab), h('span', { class: 'rest' }, l.rest ?? '', l.restMore ? h('span', { class: 'only-wide' }, l.restMore) : null));
  if (l.big) {
    paint(el, lab, h('p', { class: `verdict ${l.big.tone}` }, icon(l.big.shape, 58), l.big.word), h('p', { class: 'sub' }, l.sub ?? ''));
    return;
  }
  const value = h('b', { class: [l.words ? 'text words' : l.text ? 'text' : (l.value ?? '').length > 8 ? 'text digits' : '', l.struck ? 'struck' : ''].join(' ') }, l.value || '\u00a0', l.unit && l.value ? h('span', { class: 'unit' }, l.unit) : null);
  const sub = l.slot
    ? h('p', { class: 'sub' }, h('span', {}, l.slot.before), h('span', { class: `slot ${l.slot.text ? 'filled' : ''}` }, l.slot.text), h('span', { class: 'small' }, l.slot.after, l.slot.afterMore ? h('span', { class: 'only-wide' }, l.slot.afterMore) : null))
    : h('p', { class: `sub ${(l.sub ?? '').length > LONG ? 'long' : ''}` }, l.sub ?? '');
  paint(el, lab, value, sub);
}

function paintThird(t, act) {
  paintNew(region('third'), t, () => third(t, act));
}

function third(t, act) {
  const out = [];
  if (t.bar) out.push(restBar(t.bar));
  if (t.gate) {
    out.push(h('ul', { class: 'gate small' }, t.gate.map((g, i) => h('li', { class: i ? '' : `first ${g.tone}` }, h('span', { class: `v ${g.tone}` }, icon(g.shape, i ? 14 : 20)), h('span', {}, g.text)))));
  } else {
    out.push(h('p', { class: 'lab only-wide' }, t.lab));
    if (t.far || t.v) out.push(h('div', { class: 'far' }, t.far ? h('b', {}, t.far.value, t.far.value ? h('span', { class: 'unit' }, t.far.unit) : null) : null,
      t.v ? mark({ ...t.v, size: t.far ? 18 : 24 }) : null, t.short ? h('span', { class: 'small short' }, t.short) : null));
    if (t.built) out.push(h('div', { class: 'built', 'aria-hidden': 'true' }, t.built.map((g) => h('span', {}, g.map((s) => h('i', { class: s }))))));
    if (t.lines) out.push(h('p', { class: 'meth only-wide' }, t.lines.map((x, i) => (i ? [h('br'), x] : x))));
    if (t.note) out.push(h('p', { class: 'note only-wide' }, t.note));
    if (t.links) out.push(h('p', { class: 'links' }, t.links.map((l) => h('a', { href: l.href }, l.text))));
  }
  if (t.gauge) out.push(gauge(t.gauge, act));
  return out;
}

/** restBar draws how much of a rest is over; the mark is where it is full. */
function restBar(b) {
  return h('div', { class: `rest-bar ${b.over ? 'over' : ''}` }, h('span', { class: 'bar', 'aria-hidden': 'true' }, h('i', { 'width%': Math.min(100, Math.round(100 * b.full)) }), h('b', { 'left%': Math.min(99, Math.round(100 * b.mark)) })),
    h('p', { class: 'small' }, h('span', {}, b.from), h('span', {}, b.to)));
}

function gauge(g, act) {
  const name = [h('span', { class: 'only-wide' }, h('b', {}, g.name), g.more ? `, ${g.more}` : ''), h('span', { class: 'phone-in' }, g.code ?? g.name)];
  const state = h('span', { class: `v-line ${g.state.tone}` }, h('span', { class: `v ${g.state.tone}` }, icon(g.state.shape, 14)), h('span', { class: 'only-wide' }, g.state.text), g.state.short ? h('span', { class: 'phone-in' }, g.state.short) : null);
  if (g.choices < 2) return h('div', { class: 'gauge small' }, h('p', {}, name), state);
  return h('button', { class: 'gauge pick small', type: 'button', onclick: () => act.choose('instrument') }, h('span', {}, name), h('span', { class: 'g-state' }, state, h('span', { class: 'change only-wide' }, 'change')));
}

function paintSets(sets, act) {
  const el = region('sets');
  el.hidden = !sets.length;
  el.classList.toggle('q', sets.some((r) => r.points));
  el.style.setProperty('--rows', sets.length);
  el.classList.toggle('two', sets.length > 5);
  paintNew(el, sets, () => sets.map((r) => h('button', { class: `set ${r.now ? 'now' : ''} ${r.tone ?? ''}`, type: 'button', 'aria-current': r.now ? 'step' : null, onclick: () => act.goGroup(r.key) },
    h('span', { class: 'wide-row' },
      h('b', { class: 'name' }, r.name, r.nameMore ?? ''), number(r), r.v ? mark({ ...r.v }) : h('span'),
      r.points ? h('span', { class: 'tk' }, r.points.map((p) => h('i', { class: p.answer || 'o' }, icon({ yes: 'tick', no: 'cross', na: 'bar' }[p.answer] ?? 'open', 14), p.text)))
        : h('span', { class: 'sub' }, r.sub ?? ''),
      r.bar !== undefined ? h('span', { class: 'bar' }, h('i', { 'width%': r.bar })) : null),
    h('span', { class: 'tab-row' }, h('b', { class: 'only-phone' }, r.phone.name), h('b', { class: 'only-wide' }, r.name), h('span', { class: 'n' }, h('b', {}, r.phone.value), r.phone.of ? h('span', { class: r.phone.v ? 'only-wide' : '' }, r.phone.of) : '', r.phone.v ? mark({ ...r.phone.v, word: '', size: 14 }) : null, r.v ? h('span', { class: 'two-word' }, mark(r.v)) : null)))));
  // More tabs than a phone is wide scroll sideways: the one in hand stays in sight.
  const now = el.querySelector('.now');
  if (now && el.scrollWidth > el.clientWidth) el.scrollLeft = now.offsetLeft - el.offsetLeft - now.offsetWidth;
}

function number(r) {
  if (r.count !== undefined) return h('span', { class: 'n' }, h('b', {}, String(r.count)), ` of ${r.of}`);
  return h('span', { class: 'n' }, r.value ? h('b', {}, r.value) : '', r.unit ? h('span', { class: 'u' }, ` ${r.unit}`) : '');
}

function tool(t, act) {
  return h('button', { class: `key words ${t.go ? 'accent' : ''}`, type: 'button', disabled: t.disabled, onclick: () => act.tool(t.does) },
    h('span', { class: t.short ? 'only-wide' : '' }, t.label), t.short ? h('span', { class: 'phone-in' }, t.short) : null, h('small', {}, t.small));
}

// heldThrough paints a list that is asked for again from time to time: who has come to
// a row by Tab stays on it.
function heldThrough(el, draw) {
  const held = el.contains(document.activeElement) ? document.activeElement : null;
  draw();
  if (!held || held.isConnected) return;
  const rows = [...el.querySelectorAll('button, a[href]')];
  (rows.find((b) => b.textContent === held.textContent && b.getAttribute('aria-label') === held.getAttribute('aria-label')))?.focus();
}

/** paintMiddle draws what stands where the keypad is: keys, the ticked list, or a choice. */
function paintMiddle(s, act) {
  const list = s.choice ? null : s.list ?? s.steps;
  region('pad').hidden = Boolean(list || s.choice || s.drafts || s.verdict);
  region('tools').hidden = Boolean(list || s.verdict || s.drafts);
  const el = region('list');
  el.hidden = !(list || s.choice || s.drafts || s.verdict?.lines.length);
  el.className = s.choice ? 'choices' : s.drafts || s.verdict ? 'found' : 'list6';
  // What may scroll and holds nothing to press is reached by Tab itself.
  if (s.verdict && !s.choice) { el.tabIndex = 0; el.setAttribute('role', 'region'); el.setAttribute('aria-label', 'Each result'); }
  else for (const a of ['tabindex', 'role', 'aria-label']) el.removeAttribute(a);
  if (s.choice) paint(el, choices(s.choice, act));
  else if (s.drafts) heldThrough(el, () => paint(el, s.drafts(act)));
  else if (s.verdict) paint(el, s.verdict.lines.map((r) => resultRow(r)));
  else if (s.yesNo) paint(el);
  else if (s.steps) steps(el, s.steps, act);
  else if (list) paint(el, h('ol', { 'aria-label': 'Ticked list' }, list.map((r) => tickRow(r, act))));
  else paint(el);
}

function choices(choice, act) {
  const { options, more } = partOf(choice);
  const key = (number, label, small, tone, pick) => h('button', { class: 'key words', type: 'button', onclick: pick }, h('span', {}, h('kbd', {}, String(number)), ' ', label), small ? h('small', { class: tone ?? '' }, small) : null);
  return [h('div', { class: 'choice-head' }, h('p', { class: 'choice-text', id: 'choice-text' }, choice.text), choice.closes ? h('button', { class: 'key words', type: 'button', onclick: () => act.clear() }, 'Go back') : null),
    h('div', { class: `choice-keys ${options.length > 4 ? 'many' : ''}`, role: 'group', 'aria-labelledby': 'choice-text' },
      options.map((o) => key(o.number, o.label, o.small, o.tone, () => act.pick(o.number - 1))), more ? key(0, more.label, more.small, '', () => act.more()) : null)];
}

/** steps is the list of building steps; the one in hand stays in sight. */
function steps(el, rows, act) {
  const ol = h('ol', { class: 'steps', 'aria-label': 'Building steps' }, rows.map((r) => h('li', { class: r.now ? 'now' : '', 'aria-current': r.now ? 'step' : null },
    h('span', { class: `v ${r.done ? 'pass' : 'plain'}` }, icon(r.done ? 'tick' : 'open', 20), h('span', { class: 'unseen' }, r.done ? 'done' : 'open')),
    h('span', {}, r.text, r.who ? h('small', {}, r.who, r.waits ? ', kept here' : '') : null),
    h('button', { class: 'key', type: 'button', 'aria-label': `${r.text}: ${r.done ? 'take back' : 'done'}`, onclick: () => act.step(r.code, !r.done) }, r.done ? 'Take back' : 'Done'))));
  paint(el, ol);
  const now = ol.querySelector('.now');
  if (now) ol.scrollTop = now.offsetTop - ol.offsetTop - now.offsetHeight;
}

function tickRow(r, act) {
  const key = (answer, word, shape) => h('button', { class: `key ${r.answer === answer ? 'on' : ''}`, type: 'button', 'aria-pressed': String(r.answer === answer), 'aria-label': `${r.text}: ${word}${word === 'N.A.' ? ', not applicable' : ''}`, onclick: () => act.tick(r.key, answer) }, r.answer === answer ? icon(shape) : null, word);
  return h('li', { class: r.now ? 'now' : '', 'aria-current': r.now ? 'step' : null }, h('span', {}, r.text), key('yes', 'Yes', 'tick'), key('no', 'No', 'cross'), key('na', 'N.A.', 'bar'));
}

const resultRow = (r) => h('div', { class: 'result' }, h('span', { class: 'rn' }, r.name), h('span', { class: 'rv' }, r.value), mark(r.v), h('span', { class: 'rr small' }, r.reason ?? ''));

function paintField(f, ask, act) {
  region('says').textContent = f.says ?? '';
  region('hint').textContent = f.hint ?? '';
  const input = region('capture');
  input.setAttribute('aria-label', [f.says, f.label ?? (ask.number ? `${ask.lab} ${ask.number}, ${ask.sideText}` : `${ask.lead} ${ask.big}`), f.symbol].filter(Boolean).join(', '));
  input.inputMode = f.letters ? 'text' : 'none';
  input.classList.toggle('mono', Boolean(f.letters));
  const more = f.units && f.units.length > 1;
  paint(region('unit'), f.unit ? more
    ? h('button', { class: 'unitkey', type: 'button', 'aria-label': `Unit ${f.symbol}, change`, onclick: () => act.choose('unit') }, f.symbol)
    : h('span', { class: 'unit-of' }, f.symbol) : null);
}

function paintGo(g) {
  const el = region('take');
  el.disabled = Boolean(g.disabled);
  el.classList.toggle('long', Boolean(g.words));
  paint(el, h('span', {}, g.label), g.small ? h('small', {}, g.small) : null);
}

/** beside is what stands right of the pack: sums and spreads. */
function beside(b) {
  return [h('div', { class: 'sum' }, h('div', { class: 'sum-head' }, h('b', {}, b.title), b.v ? mark({ ...b.v, size: 16 }) : null),
    b.notes ? h('ul', { class: 'notes' }, b.notes.map((text) => h('li', {}, text))) : null,
    b.rows ? h('dl', { class: 'only-wide' }, b.rows.map((r) => [h('dt', { class: r.rule ? 'rule' : null }, r.name), h('dd', { class: r.rule ? 'rule' : null }, r.value)])) : null,
    b.note ? h('p', { class: 'small only-wide' }, b.note) : null,
    b.foot ? h('div', { class: 'only-wide sum-foot' }, b.foot.map((r) => h('p', {}, h('b', { class: r.fails ? 'v fail' : null }, r.fails ? [icon('cross', 16), h('span', { class: 'unseen' }, 'fails: ')] : null, r.text), h('span', { class: 'small' }, r.note)))) : null)];
}

/** paintHead draws the head: what lies on the stand, who is at it, how the line to the office is. */
export function paintHead(head, act) {
  paint(region('serial'), head.leaves ? h('button', { class: 'stage-key', type: 'button', 'aria-label': `${head.serial}, leave it`, onclick: () => act.tool('leave') }, head.serial) : head.serial ?? '');
  region('what').textContent = head.what ?? '';
  const stage = region('stage');
  paint(stage, head.stage ? (head.stages > 1 ? h('button', { class: 'stage-key', type: 'button', onclick: () => act.choose('stage') }, head.stage) : head.stage) : '');
  stage.hidden = !head.stage;
  const line = region('line');
  line.className = `line ${head.line?.ok ? 'ok' : ''}`;
  paint(line, head.line ? [icon(head.line.shape, 18), head.line.text] : []);
}

/** say speaks a sentence in the live region, with its tone; the same one twice is said twice. */
export function say(words, tone = toneOfWords(words)) {
  sound(tone);
  const el = region('live');
  el.textContent = el.textContent === words ? `${words}\u00a0` : words;
}
