import { test } from 'node:test';
import assert from 'node:assert/strict';
import { newJob } from '../floor-job.js';
import { figures } from '../stand-figures.js';
import { strip } from '../stand-strip.js';
import { methodsFor } from '../stand-shape.js';
import { bench } from '../bench-screen.js';
import { wheelPlan, packPlan } from './plans.js';

const texts = (tree, out = []) => {
  const [tag, attributes, ...children] = tree;
  if (tag === 'text') out.push({ ...attributes, words: children.join('') });
  for (const c of children) if (Array.isArray(c)) texts(c, out);
  return out;
};

// The digits of the typeface are 0.6 of their size wide, small letters less.
const ends = (t) => {
  const width = t.words.length * Number(t['font-size']) * 0.6;
  const from = { middle: t.x - width / 2, end: t.x - width }[t['text-anchor']] ?? t.x;
  return [from, from + width];
};

test('no word of the strip is cut off at the page’s end', () => {
  for (const holes of [20, 28, 32, 36, 40]) {
    for (const narrow of [false, true]) {
      const plan = wheelPlan((json) => {
        json.form.wheel.holes = holes;
        json.specification.characteristics.find((c) => c.code === 'tension_a').sample = [0, holes - 2];
        json.specification.characteristics.find((c) => c.code === 'tension_b').sample = [7, holes - 1];
      });
      let job = newJob({ id: 'i', serial: plan.serial, stage: plan.stage, startedAt: 0, methods: methodsFor(plan, false) });
      for (const values of [{}, { [`tension_b/sample/${holes - 1}`]: { text: '1085', at: 1 }, [`tension_a/sample/${holes - 2}`]: { text: '1120.5', at: 2 } }]) {
        job = { ...job, values };
        const picture = strip(plan, job, figures(plan, job), { narrow });
        for (const t of texts(picture)) {
          const [from, to] = ends(t);
          assert.ok(from >= -1 && to <= picture[1].width + 1, `${holes} spokes, ${narrow ? 'phone' : 'wide'}: "${t.words}" from ${from} to ${to} of ${picture[1].width}`);
        }
      }
    }
  }
});

test('no word of a run-out by extremes covers another, wherever they were read', () => {
  const plan = wheelPlan();
  const foot = (t) => [Number(t.y) - Number(t['font-size']) * 0.7, Number(t.y) + 2];
  for (const [narrow, set] of [[false, 'lateral_runout'], [true, 'lateral_runout'], [false, 'radial_runout'], [true, 'radial_runout']]) {
    for (let high = 0; high < 36; high++) {
      for (let low = 0; low < 36; low++) {
        for (const [highest, lowest] of [['0.15', '-0.18'], ['-0.01', '-0.17'], ['0.02', '0.01']]) {
          const job = { ...newJob({ id: 'i', serial: plan.serial, stage: plan.stage, startedAt: 0, methods: methodsFor(plan, false) }), values: {
            [`${set}/extremes/highest`]: { text: highest, at: 1, spoke: high }, [`${set}/extremes/lowest`]: { text: lowest, at: 2, spoke: low } } };
          const row = texts(strip(plan, job, figures(plan, job), { narrow })).filter((t) => /^(highest|lowest) |^[-+\u2212].* at |^0\.\d\d$/.test(t.words));
          assert.equal(row.length, narrow ? 2 : 3);
          for (const [i, t] of row.entries()) {
            const [from, to] = ends(t);
            assert.ok(from >= 0 && to <= (narrow ? 366 : 992) + 1, `${t.words} from ${from} to ${to}`);
            for (const u of row.slice(i + 1)) {
              const across = ends(u)[0] < to && from < ends(u)[1];
              const down = foot(u)[0] < foot(t)[1] && foot(t)[0] < foot(u)[1];
              assert.ok(!(across && down), `${narrow ? 'phone' : 'wide'}, ${high + 1} and ${low + 1}: "${t.words}" over "${u.words}"`);
            }
          }
        }
      }
    }
  }
});

test('the line of least tension crosses no value', () => {
  const plan = wheelPlan();
  for (const narrow of [false, true]) {
    for (const newtons of ['300', '440', '450', '455', '500', '600', '1100']) {
      const values = Object.fromEntries([['a', 0], ['a', 12], ['a', 24], ['b', 7], ['b', 19], ['b', 31]].map(([side, i], at) => [`tension_${side}/sample/${i}`, { text: newtons, at }]));
      const job = { ...newJob({ id: 'i', serial: plan.serial, stage: plan.stage, startedAt: 0, methods: methodsFor(plan, false) }), values };
      const picture = strip(plan, job, figures(plan, job), { narrow });
      const line = Number(picture.flat().filter((x) => typeof x === 'object' && x.d?.includes('H')).at(-1).d.match(/ ([\d.]+)H/)[1]);
      for (const t of texts(picture).filter((x) => x.words === newtons)) {
        assert.ok(Number(t.y) + 1 < line || Number(t.y) - Number(t['font-size']) * 0.72 > line + 1, `${newtons} at ${t.y}, the line at ${line}`);
      }
    }
  }
});

test('a phone shows the string in hand, as high as a pack of one string', () => {
  const picture = (options, position) => {
    const plan = packPlan(options);
    const job = { ...newJob({ id: 'i', serial: plan.serial, stage: plan.stage, startedAt: 0, methods: bench.begin(plan) }), at: position };
    return bench.screen({ plan, job, typed: '', said: null, walk: null, narrow: true }).picture;
  };
  const one = picture({ strings: 1, blocks: 4 });
  for (const strings of [2, 3, 8]) {
    assert.equal(picture({ strings, blocks: 2 })[1].height, one[1].height, `${strings} strings`);
  }
});
