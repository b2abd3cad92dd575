// Paints the turns into the page, in the place of the sections that take
// readings. What has the focus keeps it: keys are made anew, their names stay.
import { h, icon, mark, fromTree, paint } from './floor-dom.js';

/** sceneOf is the turns' part of the page, made when it is first wanted. */
export function sceneOf(page) {
  let el = document.getElementById('turns');
  if (!el) {
    el = h('div', { id: 'turns' });
    page.querySelector('main').append(el);
  }
  return el;
}

/** paintTurns draws a screen of the turns. focus: the key that gets the focus, where nothing here has it. */
export function paintTurns(el, s, act) {
  const had = el.contains(document.activeElement) ? document.activeElement.dataset.name : '';
  const from = el.querySelector('.t-list')?.scrollTop ?? 0;
  el.className = s.kind === 'stop' ? 't-stop' : '';
  if (s.kind === 'stop') paintStop(el, s, act);
  else paintList(el, s, act);
  const list = el.querySelector('.t-list');
  if (list) {
    list.style.setProperty('--rows', Math.ceil(s.rows.length / 2)); // set by script: the content policy allows it
    inSight(list, from);
  }
  const wanted = had && !s.toGo && had !== 'turned' && had !== 'measure' && had !== 'next' ? had : '';
  const target = (wanted && el.querySelector(`[data-name="${CSS.escape(wanted)}"]:not(:disabled)`)) || el.querySelector(`[data-name="${CSS.escape(s.focusName)}"]:not(:disabled)`) || el.querySelector('button:not(:disabled)');
  if (target && document.activeElement !== target) target.focus({ preventScroll: true });
}

/** inSight scrolls the list, and only the list, to the step in hand. */
function inSight(list, from) {
  list.scrollTop = from;
  const now = list.querySelector('.now');
  if (!now) return;
  const top = now.offsetTop - list.offsetTop;
  if (top < list.scrollTop) list.scrollTop = Math.max(0, top - now.offsetHeight);
  else if (top + now.offsetHeight > list.scrollTop + list.clientHeight) list.scrollTop = top + 2 * now.offsetHeight - list.clientHeight;
}

const key = (name, className, label, onclick, more = {}) => h('button', { class: `key ${className}`, type: 'button', 'data-name': name, onclick, ...more }, label);
const wordKey = (k, act) => key(k.does, `words ${k.accent ? 'accent' : ''}`, [h('span', {}, k.label), k.small ? h('small', {}, k.small) : null], () => act(k.does));

function paintList(el, s, act) {
  paint(el,
    h('section', { class: 'sheet t-ans', 'aria-label': 'Verdict' },
      h('div', { class: 't-sub' }, h('h1', {}, s.title), s.sub.length ? h('p', { class: 'small' }, s.sub.map((t) => h('span', {}, t, ' '))) : null),
      s.tiles.length ? h('ul', { class: 't-res' }, s.tiles.map(tile)) : null,
      s.passing ? h('p', { class: 'small t-passing' }, s.passing) : null),
    s.picture ? h('section', { class: 'sheet t-rim', 'aria-label': 'The rim unrolled' }, fromTree(s.picture), s.keyline ? keyline(s.keyline) : null) : null,
    s.step || s.done ? work(s, act) : h('section', { class: 't-without', 'aria-label': 'Why there is no list' },
      h('div', {}, h('p', { class: 't-lead' }, s.lead), s.points.length ? h('ul', {}, s.points.map((p) => h('li', {}, h('span', {}, p.text), p.href ? h('a', { href: p.href }, p.link) : null))) : null, saidLine(s.said)),
      h('div', { class: 't-keys' }, s.keys.map((k) => wordKey(k, act)), s.hold ? hold(s.hold) : null)),
    foot(s));
}

const tile = (t) => h('li', { class: t.v.tone }, h('div', { class: 't' }, h('span', {}, t.name), mark({ ...t.v, size: 16 })), h('div', { class: 'n' }, t.value, t.unit ? h('span', { class: 'unit' }, t.unit) : null), h('div', { class: 'small' }, t.note || '\u00a0'));

const sample = (d, more) => fromTree(['svg', { width: 30, height: 12, viewBox: '0 0 30 12', 'aria-hidden': 'true' }, ['path', { d, fill: 'none', stroke: 'var(--ink)', 'stroke-width': 2.4, ...more }]]);
const measuredSample = () => fromTree(['svg', { width: 30, height: 12, viewBox: '0 0 30 12', 'aria-hidden': 'true' }, ['path', { d: 'M0 6H30', stroke: 'var(--ink)', 'stroke-width': 2.2 }], ['circle', { cx: 15, cy: 6, r: 3.8, fill: 'var(--ink)' }]]);

function keyline(k) {
  return h('p', { class: 'small t-key' }, h('span', {}, measuredSample(), 'measured'), h('span', {}, sample('M0 6H30', { stroke: 'var(--note)', 'stroke-dasharray': '7 4' }), 'predicted after the turns'), h('span', { class: 'only-wide' }, sample('M5 6H25'), 'predicted tension'),
    k.joint ? h('span', {}, h('i', { class: 't-joint' }), 'rim joint') : null, h('span', { class: 'only-phone t-parts' }, 'up tightens, down loosens, on the line: turned'), h('span', { class: 'only-wide t-parts' }, h('b', {}, '+'), ' tighten, ', h('b', {}, '\u2212'), ` loosen, ${k.parts}`));
}

function saidLine(said) {
  if (!said) return null;
  return h('p', { class: `t-said ${said.tone}` }, h('span', { class: `v ${said.tone}` }, icon(said.shape, 16), said.word), ' ', said.text);
}

function work(s, act) {
  const go = s.go;
  return h('section', { class: 't-work', 'aria-label': 'What to turn' },
    h('div', { class: `t-now ${s.done ? 'done' : ''}` },
      s.step ? [h('p', { class: 'small lab' }, s.step.lab), h('div', { class: 't-big' }, h('b', {}, s.step.spoke), h('div', {}, h('p', { class: 'how' }, s.step.how), h('p', { class: 'where' }, s.step.side), s.step.lean ? h('p', { class: 'where' }, s.step.lean) : null))]
        : [h('p', { class: 'small lab' }, 'Every step is made'), h('div', { class: 't-big' }, h('span', { class: 'v pass' }, icon('tick', 40)), h('div', {}, h('p', { class: 'how' }, 'Stress-relieve'), h('p', { class: 'where' }, 'then measure every hole again')))],
      saidLine(s.said),
      h('div', { class: 't-row' }, key(go.does, 'go', go.label, () => act(go.does)), key('back', '', 'Back', () => act('back'), { disabled: s.back.disabled }))),
    h('ol', { class: 't-list', 'aria-label': 'Steps', tabindex: s.rows.length > 12 ? '0' : null, 'data-name': 'steps' },
      s.rows.map((r, i) => h('li', { class: `${r.turned ? 'turned' : ''} ${r.now ? 'now' : ''} ${i >= s.rows.length / 2 ? 'second' : ''}`, 'aria-current': r.now ? 'step' : null }, h('span', { class: 'i' }, r.turned ? h('span', { class: 'v pass' }, icon('tick', 18), h('span', { class: 'unseen' }, 'turned')) : String(r.n)),
        h('span', {}, r.what, ' ', h('b', {}, r.part)), h('span', { class: 'sp' }, h('b', {}, String(r.spoke)), ` ${r.side}`)))),
    h('div', { class: 't-after' },
      s.lists.length ? h('div', { class: 't-seg', role: 'group', 'aria-label': 'How many nipples' }, s.lists.map((l) => key(`list-${l.key}`, l.on ? 'on' : '', l.label, () => act(`list-${l.key}`), { 'aria-pressed': String(l.on), disabled: l.disabled }))) : null,
      h('dl', {}, s.facts.rows.map((f) => [h('dt', {}, f.name), h('dd', { class: f.over ? 'over' : null }, f.over ? icon('cross', 14) : null, f.value, ' ', f.unit)])),
      h('p', { class: 'small' }, s.facts.note),
      h('div', { class: 't-end' }, s.measure ? key('measure-now', 'words', [h('span', {}, 'Measure again'), h('small', {}, s.measure.small)], () => act('measure')) : null, key('leave', 'words', [h('span', {}, 'Next wheel'), s.measure ? null : h('small', {}, 'scan or type')], () => act('leave')))));
}

const hold = (link) => h('a', { class: 'key words', href: link.href, 'data-name': 'hold' }, link.label);

function foot(s) {
  const remarks = (s.remarks ?? []).join(' ');
  const held = s.hold && (s.step || s.done) ? hold(s.hold) : null;
  if (!s.foot.text && !remarks && !held) return null;
  return h('section', { class: 't-foot', 'aria-label': 'What to know' }, h('div', {}, s.foot.text ? h('p', {}, s.foot.lead ? h('b', {}, s.foot.lead) : null, s.foot.text) : null, remarks ? h('p', { class: 'small' }, remarks) : null), held);
}

function paintStop(el, s, act) {
  paint(el,
    h('section', { class: 't-stopped', 'aria-label': 'Stop' }, h('div', { class: 't-sub' }, h('h1', {}, h('span', { class: 'v hold' }, icon('bars', 26), 'Stop.'), ' ', s.title), h('span', { class: 'v hold' }, icon('bars', 16), 'No verdict yet')), h('p', {}, s.text)),
    h('section', { class: 'sheet t-charts', 'aria-label': 'The same change against two explanations' },
      s.charts.map((c) => h('div', { class: 't-chart' }, h('div', { class: 't-sub' }, h('h2', {}, c.title), mark({ ...c.v, size: 16 })), fromTree(c.picture))),
      h('p', { class: 'small t-key' }, h('span', {}, measuredSample(), 'measured change'), h('span', { class: 'only-wide' }, h('i', { class: 'sw a' }), h('i', { class: 'sw b' }), 'side A, side B'), h('span', {}, sample('M0 6H30', { stroke: 'var(--note)', 'stroke-dasharray': '7 4' }), h('span', { class: 'only-wide' }, sample('M5 6H25')), 'predicted'))),
    h('section', { class: 't-ways', 'aria-labelledby': 't-asked' }, h('h2', { id: 't-asked' }, 'What happened at the wheel?'),
      h('div', { class: 't-choices' }, s.ways.map((w) => h('button', { class: `key words ${w.best ? 'best' : ''}`, type: 'button', 'data-name': w.cause, disabled: s.busy, onclick: () => act(`cause:${w.cause}`), onfocus: () => act(`look:${w.cause}`) },
        h('span', { class: 'w' }, h('span', {}, w.title), w.fit ? h('small', {}, w.fit) : null), h('small', {}, w.text)))),
      saidLine(s.said),
      h('div', { class: 't-others' }, s.others.map((k) => wordKey(k, act))),
      h('p', { class: 'small' }, 'Fit: lateral, then tension; 1 is full agreement, 0 none. Do not turn a nipple before you have chosen. The choice and your name go on record.')));
}
