// What others do to a list that lies open here: two people may turn one wheel, and
// a nipple turned twice is a fault that nobody sees. Turning
// (stand-turns-page.js) holds the list and paints it.
import { say } from './floor-view.js';
import { closedOf } from './stand-turns-list.js';
import { heardSaid } from './stand-turns-words.js';
import { TurnHands } from './stand-turns-hands.js';

const LOOK = 5000; // ms between two looks

export class Watching extends TurnHands {
  watch() {
    clearTimeout(this.looking);
    this.looking = setTimeout(() => this.look(), LOOK);
  }

  /** look asks how the list in hand stands, while somebody looks at it: others may turn the same wheel. */
  async look() {
    const { page, id } = this;
    if (page.phase !== 'turns' || this.away || !this.entry) return;
    if (document.visibilityState === 'visible' && !this.busy && !this.entry.pending.length && !closedOf(this.entry.answer)) {
      const changes = await this.lists.ask(id);
      if (this.id !== id || page.phase !== 'turns') return;
      if (changes) this.hear(changes);
    }
    this.watch();
  }

  /** hear shows and says what others did. */
  hear(changes) {
    const { page } = this;
    const words = heardSaid(changes);
    if (changes.made.some((t) => t.n === this.walked)) this.walked = null;
    if (changes.state || changes.closed) this.said = null;
    else if (words) this.said = { tone: 'plain', shape: 'tick', word: 'Elsewhere.', text: words };
    const s = this.screen();
    if (changes.closed) say(`${s.title}. ${s.lead}`);
    else if (changes.state) say(s.title);
    else if (words) say(`${words} ${this.stepSaid()}`);
    page.draw();
  }
}
