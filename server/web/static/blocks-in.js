// Blocks in: scan or type a number, its voltage, its resistance; the next one.
// Each is sent by itself as soon as it is whole; what the office will not take
// stands in the list with why, and is put right there.
import { region, paintScreen, paintHead, say } from './floor-view.js';
import { listen } from './floor-keys.js';
import { Outgoing, waitingLine } from './floor-queue.js';
import { takeBlocks, getPlan, ApiError } from './floor-api.js';
import { waysOf } from './floor-ways.js';
import { freshId } from './floor-id.js';
import { printed, serialOf } from './floor-serial.js';
import { ready } from './floor-offline.js';
import { clock, useZone } from './floor-format.js';
import { toneOf, sound } from './floor-tones.js';
import { changeSign } from './floor-reading.js';
import { Seeing } from './floor-seen.js';
import './stand-events.js';
import './floor-lock.js';
import * as rows from './blocks-row.js';
import { screenOf, verdicts } from './blocks-screen.js';
import { KeptRows, storeOf, keptSitting, keepSitting, keptHand, keepHand } from './blocks-kept.js';
import { askSetup } from './blocks-setup.js';
import { paintRows } from './blocks-list.js';

const SHOWN = 60; // blocks of this sitting that stay in the list

class BlocksIn {
  constructor(page) {
    this.given = JSON.parse(page.dataset.given);
    this.person = page.dataset.personId;
    this.place = page.dataset.place;
    this.input = region('capture');
    this.store = storeOf();
    this.row = rows.begin(freshId());
    this.units = {};
    this.said = null;
    this.done = []; // of this sitting, newest first
    this.settings = this.begun();
    this.row = keptHand(this.store, this.hand, freshId()) ?? this.row;
    this.queue = new Outgoing({ kept: new KeptRows(this.store), send: (sent) => takeBlocks(sent), person: this.person, name: page.dataset.person, told: () => this.draw(), answered: (id, answer) => this.answered(id, answer.json), refused: (id, error) => this.notTaken(id, error) });
    useZone(page.dataset.zone);
  }

  /** hand is whose half-read block it is, of what and when: yesterday's voltage does not go with today's rest. */
  get hand() { return { person: this.person, model: this.settings.model?.id ?? '', stage: this.settings.stage, day: new Date().toDateString() }; }

  /** begun is how the sitting is set up: what the address asks for, then what was said last here. */
  begun() {
    const asked = this.given.asked;
    const last = keptSitting(this.store);
    const model = this.given.models.find((m) => m.id === (asked.model || last.model)) ?? (this.given.models.length === 1 ? this.given.models[0] : null);
    const gauge = (kind) => this.given.gauges[kind]?.some((g) => g.code === last.gauges?.[kind]) ? last.gauges[kind] : this.given.gauges[kind]?.[0]?.code ?? '';
    const fresh = last.day === new Date().toDateString(); // rest and temperature of another day say nothing
    return {
      model, lot: asked.lot || (asked.model ? '' : last.lot ?? ''), stage: asked.stage || 'incoming', dateCode: '', rest: fresh ? last.rest ?? '' : '', onCharger: false, temperature: fresh ? last.temperature ?? '' : '',
      method: model?.method || last.method || '', sound: last.sound ?? false, gauges: { voltage: gauge('voltage'), resistance: gauge('resistance'), temperature: gauge('temperature') },
    };
  }

  async start() {
    region('open').addEventListener('submit', (event) => event.preventDefault()); // Enter that closed the dialogue ends in the field
    this.seeing = new Seeing({ input: this.input, scan: (text) => { this.input.value = text; this.take(); } });
    document.addEventListener('gauge-reading', (event) => this.gauge(event.detail));
    listen({ input: this.input, pad: region('pad'), take: region('take'), acts: this, pedalKey: waysOf(this.person).pedal });
    region('floor').classList.toggle('left', waysOf(this.person).hands === 'left');
    await this.queue.load();
    for (const e of this.queue.list) this.note({ id: e.id, row: rows.rowOf(e.sent), name: e.print, state: e.state === 'waiting' ? 'waiting' : 'refused', says: e.said ? [e.said] : [], errors: [] });
    this.draw();
    this.queue.flush();
    addEventListener('online', () => this.queue.flush());
    ready('/blocks/in').then((missing) => { if (missing && this.queue.waiting.length) say(missing); });
    if (rows.missing(this.settings).length) this.setup();
    else this.input.focus();
  }

  draw() {
    if (this.row !== this.handKept) keepHand(this.store, this.hand, this.row);
    this.handKept = this.row;
    const counts = { taken: this.done.filter((d) => d.state === 'taken').reduce((n, d) => n + Math.max(1, d.row.count), 0), failing: this.done.filter((d) => d.verdict === 'fail').length };
    paintScreen(screenOf({ settings: this.settings, row: this.row, units: this.units, said: this.said, typed: this.input.value, last: this.done[0] ?? null, counts }), this);
    paintRows(region('rim'), this.done.slice(0, SHOWN), this);
    paintHead({ serial: '', what: this.settings.model ? `${this.settings.model.name}${this.settings.lot ? `, lot ${this.settings.lot}` : ''}` : 'Blocks in', stage: this.settings.stage === rows.SECOND ? 'second reading' : 'incoming', stages: 1,
      line: waitingLine(this.queue, Date.now(), clock) ?? { ok: true, shape: 'tick', text: 'all sent' } }, this);
  }

  typed() { this.draw(); }
  choose(what) {
    if (what !== 'unit') return;
    const list = rows.UNITS[this.row.at];
    this.units = { ...this.units, [this.row.at]: list[(list.indexOf(rows.unitOf(this.row, this.units)) + 1) % list.length] };
    this.draw();
  }
  goGroup() { this.setup(); }
  walk() {}
  step() {}
  more() {}
  bounced() {}
  sign(typed) { return changeSign(typed); }
  clear() { this.input.value = ''; if (this.row.ask) this.undo(); this.draw(); }
  pedal(held) { if (held) this.undo(); else this.take(); }

  take() {
    if (rows.missing(this.settings).length) {
      this.setup();
      return;
    }
    const typed = this.input.value;
    if (this.row.ask) {
      const n = Number(typed.trim());
      this.input.value = '';
      if (typed.trim() && this.row.ask.options[n - 1]) this.pick(n - 1);
      else if (typed.trim()) { say(`Refused: ${typed.trim()} is not an answer.`); this.draw(); }
      return;
    }
    this.became(rows.take(this.row, typed, this));
  }

  /** gauge takes a reading that was posted to this place. */
  gauge(reading) {
    if (rows.missing(this.settings).length) {
      say(`Refused: ${reading.value} came from the gauge while no reading is awaited.`);
      return;
    }
    const { gauges, ...became } = rows.takeGauge(this.row, reading, { settings: this.settings, units: this.units, before: this.before, known: this.given.gauges });
    this.settings = { ...this.settings, gauges };
    const typing = this.input.value;
    this.became(became);
    this.input.value = typing; // what the hand is typing is not the gauge's
  }

  get before() { return this.done.map((d) => d.row); }

  pick(i) {
    const option = this.row.ask?.options[i];
    if (!option) return;
    const { units, ...became } = rows.resolve(this.row, option, this);
    this.units = units;
    this.became(became);
  }

  /** became shows and says what became of an entry, and sends the row when it is whole. */
  became({ row, said }) {
    if (said.kind === 'nothing') {
      this.draw();
      return;
    }
    this.input.value = '';
    Object.assign(this, { row, said });
    const words = { taken: `Taken: ${said.text} ${said.unit ?? ''}.`, refused: `Refused: ${said.reason}.`, ask: said.reason }[said.kind];
    if (rows.whole(row)) {
      this.send(row);
      say(`${words} ${this.settings.stage === rows.SECOND ? '' : 'The next block.'}`, toneOf('taken'));
      return;
    }
    this.draw();
    say(words, toneOf(said.kind));
    if (said.kind === 'taken' && said.at === 'number') this.lookUp(row.id, row.number);
  }

  /** lookUp asks the office about a label with a serial of ours as soon as it is scanned: one that cannot come in is given back before anything is measured. */
  async lookUp(id, number) {
    const { serial } = serialOf(number);
    if (!serial) return;
    const { model, stage } = this.settings;
    const reason = await getPlan(serial, { product: model.id }).then((plan) => rows.labelAgainst(plan, model, stage), (e) => (e instanceof ApiError ? e.errors[0]?.message ?? e.message : ''));
    if (!reason || this.row.id !== id || this.row.number !== number) return; // no answer: the office says at the end
    this.row = rows.begin(id);
    this.said = { kind: 'refused', at: 'number', text: printed(serial), reason: reason.replace(/\.$/, '') };
    this.input.value = '';
    this.draw();
    say(`Refused: ${reason}`, toneOf('refused'));
  }

  async send(row) {
    const name = row.number || (row.voltage ? 'without a number' : `${row.count} without numbers`);
    const unnumbered = row.number ? row : { ...row, count: Math.max(1, row.count) };
    this.note({ id: row.id, row: unnumbered, name, state: 'waiting', says: [], errors: [] });
    this.row = rows.begin(freshId());
    const sent = { ...rows.request(unnumbered, this.settings, Date.now()), id: row.id, place: this.place };
    await this.queue.add(sent, name);
    await this.queue.flush({ hold: row.id });
    const { error } = this.queue.letGo(row.id);
    if (error) this.notTaken(row.id, error);
  }

  /** note puts a block into the list of this sitting, or changes it there. */
  note(block) {
    const i = this.done.findIndex((d) => d.id === block.id);
    if (i < 0) this.done.unshift(block);
    else this.done[i] = { ...this.done[i], ...block };
    this.draw();
  }

  answered(id, json) {
    const taken = json?.rows?.[0];
    if (!taken) return;
    const says = taken.remarks.map((r) => r.message);
    if (taken.set_aside) says.unshift('Set aside.');
    const serials = taken.blocks.filter((b) => b.serial).map((b) => b.print);
    this.note({ id, state: 'taken', verdict: taken.set_aside ? 'fail' : taken.verdict, says, path: `/items/${taken.blocks[0].serial || taken.blocks[0].id}`, ...(serials.length ? { name: serials.length > 1 ? `${serials[0]} to ${serials.at(-1)}` : serials[0] } : {}) });
    if (taken.set_aside || taken.verdict === 'fail') {
      say(`${verdicts.fail.word}: ${this.done.find((d) => d.id === id)?.name}. ${says.join(' ')}`, 'over');
    }
  }

  notTaken(id, error) {
    const errors = error.errors ?? [];
    const says = errors.length ? [...new Set(errors.map((e) => e.message))] : [error.status === 409 ? 'This block is known with other readings already.' : error.message];
    if (this.row.at === 'number') this.said = { kind: 'refused', at: 'number', text: this.done.find((d) => d.id === id)?.name ?? '', reason: says[0] };
    this.note({ id, state: 'refused', says, errors });
    say(`Refused: ${says.join(' ')}`);
  }

  undo() {
    const row = rows.back(this.row);
    if (row) {
      this.said = { kind: 'undone', text: this.row.ask ? '' : this.row[row.at]?.text ?? this.row.number };
      this.row = row;
      this.input.value = '';
      this.draw();
      say('Undone.');
      return;
    }
    const last = this.done[0];
    if (!last) return;
    if (last.state === 'taken') {
      say('It is taken in already: correct it on its own page.');
      return;
    }
    this.again(last.id);
  }

  /** again takes a block that is not taken in back into the hands. */
  async again(id) {
    const block = this.done.find((d) => d.id === id);
    const { row } = this;
    const waits = this.queue.waiting.some((e) => e.id === id);
    const got = await this.queue.recall(id);
    if (waits && !got && !this.queue.list.some((e) => e.id === id) && this.done.find((d) => d.id === id)?.state !== 'refused') {
      say('It is taken in already: correct it on its own page.'); // while it was asked for
      return;
    }
    if (this.row !== row) { // the next block is begun meanwhile
      if (got) await this.queue.add(got.sent, got.print);
      return;
    }
    if (this.queue.list.some((e) => e.id === id)) await this.queue.drop(id);
    this.done = this.done.filter((d) => d.id !== id);
    // Nothing is stored under a refused id, so it is used again.
    this.row = rows.toRead({ ...block.row, id }, block.errors);
    this.said = { kind: 'undone', text: block.name };
    this.input.value = '';
    this.draw();
    this.input.focus();
  }

  /** stands sends a doubted block once more, as it was typed. */
  async stands(id) {
    const block = this.done.find((d) => d.id === id);
    await this.send({ ...block.row, id, asTyped: true });
    this.input.focus();
  }

  tool(does) {
    const to = (row) => { this.row = row; this.input.value = ''; this.said = null; this.draw(); this.input.focus(); };
    const acts = {
      undo: () => this.undo(),
      unnumbered: () => to({ ...this.row, number: '', count: 1, at: 'voltage' }),
      count: () => to({ ...this.row, at: 'count' }),
      damaged: () => to({ ...this.row, damaged: !this.row.damaged }),
      setup: () => this.setup(),
      camera: () => this.seeing.open(),
    };
    acts[does]?.();
  }

  async setup() {
    const settings = await askSetup(this.given, this.settings);
    if (settings) {
      this.settings = settings;
      keepSitting(this.store, { ...settings, model: settings.model?.id ?? '', day: new Date().toDateString() });
      sound('taken');
    }
    this.draw();
    this.input.blur(); // the closing dialogue may have given the focus back while the field was still inert, and then it takes no text
    this.input.focus();
  }
}

new BlocksIn(region('floor')).start();
