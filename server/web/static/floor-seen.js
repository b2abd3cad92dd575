// The camera at a page where readings are taken: what it sees stands over the
// picture until a code is read, and goes into the capture field as a scan does.
import { Camera } from './floor-camera.js';
import { h, paint } from './floor-dom.js';
import { say } from './floor-view.js';

/** Seeing belongs to a page; scan is called with what was read, prefix and all. */
export class Seeing {
  constructor({ scan, input }) {
    this.video = h('video', { class: 'seen-picture', 'aria-label': 'What the camera sees' });
    this.video.muted = true;
    this.video.playsInline = true;
    this.words = h('p', {}, '');
    this.box = h('div', { class: 'seen', id: 'seen', role: 'group', 'aria-label': 'Camera' });
    this.box.hidden = true;
    this.camera = new Camera({
      video: this.video,
      looking: () => this.show('Hold the code before the camera, a hand’s width away.', true),
      heard: scan,
      none: (why) => this.show(why, false),
      off: () => { this.hide(); input.focus({ preventScroll: true }); },
    });
    document.body.append(this.box);
  }

  show(words, on) {
    this.video.hidden = !on;
    this.words.textContent = words;
    paint(this.box, this.video, this.words, h('button', { class: 'key words', type: 'button', onclick: () => this.close() }, 'Close', h('small', {}, on ? 'camera off' : '')));
    this.box.hidden = false;
    say(on ? `Camera on. ${words}` : `No camera: ${words}`);
  }

  hide() {
    this.box.hidden = true;
    paint(this.box);
  }

  open() {
    return this.camera.open();
  }

  close() {
    this.camera.close();
    this.hide();
  }
}
