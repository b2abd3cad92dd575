// The blocks of this sitting, the newest first: what was read, what the office
// said, and the keys to put right what it will not take.
import { h, mark, paint } from './floor-dom.js';
import { symbol } from './floor-units.js';
import { shown } from './floor-format.js';
import { canStand } from './blocks-row.js';
import { verdicts } from './blocks-screen.js';

const states = {
  waiting: { tone: 'plain', shape: 'lines', word: 'Waits' },
  refused: { tone: 'fail', shape: 'cross', word: 'Not taken in' },
};
const value = (v) => (v ? `${v.value ? shown(v.value) : v.text} ${symbol(v.unit)}` : '');

/** paintRows draws the list. */
export function paintRows(el, blocks, act) {
  el.classList.add('came');
  if (!blocks.length) {
    paint(el, h('p', { class: 'came-none' }, 'Each block stands here as soon as it is whole: number, voltage, resistance. It is sent by itself.'));
    return;
  }
  paint(el, h('ol', { class: 'came-list', 'aria-label': 'Blocks of this sitting, the newest first', tabindex: '0' }, blocks.map((b) => h('li', { class: b.row.voltage ? b.state : `${b.state} counted` },
    b.path ? h('a', { class: 'mono', href: b.path }, b.name) : h('span', { class: 'mono' }, b.name), b.row.voltage ? [h('span', {}, value(b.row.voltage)), h('span', {}, value(b.row.resistance))] : null,
    mark(b.state === 'taken' ? verdicts[b.verdict] ?? { tone: 'plain', shape: 'tick', word: 'Taken in' } : states[b.state]),
    h('span', { class: 'came-says' }, b.says.join(' ')),
    b.state === 'refused' ? h('span', { class: 'came-keys' }, canStand(b.errors) ? h('button', { class: 'key', type: 'button', onclick: () => act.stands(b.id) }, 'Stands as typed') : null, h('button', { class: 'key', type: 'button', onclick: () => act.again(b.id) }, 'Read again')) : null))));
}
