// What is put into a pack at the page: a block's number or lot is looked up as soon
// as it is taken, and the taps of the string say whether the order is as recorded.
import * as api from './floor-api.js';
import * as decimal from './floor-decimal.js';
import { say } from './floor-view.js';
import { blocks, partOf, placeKey, TAPS } from './bench-shape.js';

const REASONS = ['measured again and sound', 'an inspector agreed']; // why a block is taken although the stock speaks against it

export class Fitting {
  constructor(page) {
    this.page = page;
  }

  /** heard looks a block's number or lot up as soon as it is taken: one that is in another pack, or unknown, is given back. */
  async heard(said) {
    const { page } = this;
    const { entry } = said;
    if (said.kind === 'taken' && entry?.characteristic === TAPS) this.#tapped();
    if (said.kind !== 'taken' || entry?.characteristic !== 'parts' || said.text === 'not known') return;
    const { job, plan } = page;
    const asked = entry.method === 'lot' ? this.#askedLot(said.text) : this.#asked(said.text, plan.print);
    const { reason, number, match, against = [] } = await asked.catch(() => ({})); // no answer: the office says at the end
    if (page.phase !== 'reading' || page.job.id !== job.id || page.job.values[entry.key]?.text !== said.text) return;
    const values = { ...page.job.values };
    if (!reason && number && number !== said.text) { // as its maker writes it
      page.change({ ...page.job, values: { ...values, [entry.key]: { ...values[entry.key], text: number } } }, page.said);
    }
    if (match) this.#ofMatch(entry, number);
    else if (!reason && against.length) this.#doubtful(entry, number, against);
    if (reason) this.#giveBack(entry, said.text, reason);
  }

  /** #giveBack takes a number that was looked up back out, and says why. */
  #giveBack(entry, text, reason) {
    const { page } = this;
    const values = { ...page.job.values };
    delete values[entry.key];
    page.input.value = ''; // what is half typed is the next one's
    page.change({ ...page.job, values, at: entry.key }, { kind: 'refused', entry, text, reason });
    say(`Refused: ${reason}.`);
  }

  /** #ofMatch asks about a block that lies in its place of a match which is not kept. */
  #ofMatch(entry, number) {
    const { page } = this;
    page.offer(`${number} lies in its place of a match that is not kept yet. Is it taken all the same?`, [
      { label: 'Another block', small: 'its number is taken back', pick: () => this.#giveBack(entry, number, 'It stays in its match') },
      { label: `Take ${number}`, small: 'the match lacks it then', pick: () => page.draw() },
    ], true);
  }

  /** #doubtful asks about a block that the stock would not offer: another, or this one with the reason that is kept beside it. */
  #doubtful(entry, number, against) {
    const { page } = this;
    const keep = (why) => {
      const value = page.job.values[entry.key];
      if (value?.text === number) page.change({ ...page.job, values: { ...page.job.values, [entry.key]: { ...value, why } } }, page.said);
    };
    page.offer(`${number}: ${against.map((r) => r.message).join(' ')}`, [
      { label: 'Another block', pick: () => this.#giveBack(entry, number, 'It stays out of this pack') },
      ...REASONS.map((why) => ({ label: `Take it: ${why}`, pick: () => keep(why) })),
    ]);
  }

  /** asked asks the office for a block by its number, in whichever case: {number} as its maker writes it, {reason} where it may not go into this pack. */
  async #asked(typed, print) {
    const found = (await api.findItems(typed)).filter((i) => i.kind === 'block');
    if (!found.length) return { reason: `No block has the number ${typed}: take it in first` };
    const written = (own = '') => own.toUpperCase() === typed.toUpperCase() ? own : typed;
    if (found.length > 1) return { number: written(found[0].print) }; // which one is asked for when it is sent
    const [{ aside, match, against }, { fitted_into: places = [], maker_number: own }] = await Promise.all([api.blockDecisions(found[0].id), api.getItem(found[0].serial || found[0].id)]);
    const number = written(own);
    if (aside) return { reason: `${number} is set aside: it goes into no pack until it is released` };
    const other = places.find((p) => !p.out_at && p.print !== print);
    return other ? { reason: `${number} is in ${other.print} already` } : { number, match, against };
  }

  /** #askedLot asks the office for a lot of blocks by its code, in large letters too. */
  async #askedLot(typed) {
    const found = (await api.findLots(typed))[0] ?? (await api.findLots(typed.toUpperCase()))[0];
    if (!found) return { reason: `No lot has the code ${typed}: receive it first, or leave the lot empty` };
    return found.material === 'blocks' ? { number: found.code } : { reason: `${found.code} is a lot of ${found.material}` };
  }

  /** taps asks for the taps of the string in hand, and the office for what is stored of its blocks. */
  taps() {
    const { page } = this;
    this.#askStored(page.plan, page.job);
    const s = page.current()?.position?.[0] ?? 1;
    page.change({ ...page.job, taps: s, at: `taps/whole/${s}.1` }, { kind: 'nothing' });
    say(page.asks(page.screen()));
  }

  /** #askStored adds to the plan what was last read at rest of each block that is known by its number. */
  async #askStored(plan, job) {
    const stored = Object.fromEntries(await Promise.all(blocks(plan).map(async (b) => {
      const { number, id } = partOf(plan, job, b);
      const known = number || id ? await api.blockDecisions(id || number).catch(() => null) : null;
      return [placeKey(b), decimal.plain(known?.rest_v ?? '')];
    })));
    if (this.page.job?.id === job.id) this.page.plan = { ...this.page.plan, stored };
  }

  /** tapped: after the last tap it is said whether the order is as recorded, and a swap asks for the serials again. */
  #tapped() {
    const { page } = this;
    const { taps } = page.kind.figures(page.plan, page.job);
    if (!taps?.whole || taps.swapped.length < 2) return;
    const names = taps.swapped.map((b) => b[1]);
    page.offer(`The taps fit another order: ${taps.text}. Scan ${names.join(' and ')} again?`, [
      { label: 'Scan them again', small: 'their numbers are taken back', pick: () => this.#rescan(taps.swapped) },
      { label: 'The order is right', small: 'the taps stay on record', pick: () => page.draw() },
    ], true);
  }

  #rescan(places) {
    const { page } = this;
    const keys = places.map((b) => `parts/number/${b.join('.')}`);
    const there = page.kind.entries(page.plan, page.job).filter((e) => keys.includes(e.key));
    if (!there.length) {
      page.said = { kind: 'refused', entry: null, text: 'On record', reason: 'Their numbers stand on record: compare them at the item, and correct them there' };
      say(`Refused: ${page.said.reason}.`);
      page.draw();
      return;
    }
    const values = { ...page.job.values };
    for (const e of there) delete values[e.key];
    page.change({ ...page.job, values, at: there[0].key }, { kind: 'nothing' });
    say(page.asks(page.screen()));
  }
}
