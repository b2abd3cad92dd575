// The camera as a scanner. The browser's own detector reads where it knows all
// three codes; else a vendored decoder does, which is loaded when it is first
// needed. What is read gets the symbology identifier (AIM, ISO/IEC 15424) that a
// scanner would have sent, so that it goes the same way as a scan.

const PAUSE = 120; // ms between two looks
const PATIENCE = 30000; // ms until it gives up

// The detector's name of a code, the decoder's, and the identifier where the reader gives none.
const CODES = [
  { own: 'qr_code', vendored: 'QRCode', aim: ']Q1' },
  { own: 'code_128', vendored: 'Code128', aim: ']C0' },
  { own: 'data_matrix', vendored: 'DataMatrix', aim: ']d1' },
];

/** missing says in a sentence why there can be no camera here; '' where there can. */
export function missing({ secure = globalThis.isSecureContext, devices = globalThis.navigator?.mediaDevices } = {}) {
  if (!secure) return 'A browser lends its camera to a page under https only: see the page under /trust.';
  if (!devices?.getUserMedia) return 'This device shows no camera to the browser.';
  return '';
}

/** refusal says why the browser did not open the camera. */
export function refusal(err) {
  if (err?.name === 'NotAllowedError') return 'The camera was not allowed for this address. Allow it in the browser’s settings of this page.';
  if (err?.name === 'NotFoundError' || err?.name === 'OverconstrainedError') return 'This device has no camera.';
  return 'The camera cannot be opened; another program may have it.';
}

/** asScan is a read code as a scanner would have typed it; '' for one that is not asked for. */
export function asScan(format, text, aim) {
  const code = CODES.find((c) => c.own === format || c.vendored === format);
  return code && text ? (aim || code.aim) + text : '';
}

/** ownDetector is the browser's detector, null where it is missing or does not know all three codes. */
async function ownDetector(Detector = globalThis.BarcodeDetector) {
  try {
    const known = await Detector.getSupportedFormats();
    if (!CODES.every((c) => known.includes(c.own))) return null;
    const detector = new Detector({ formats: CODES.map((c) => c.own) });
    return async (video) => {
      const [found] = await detector.detect(video);
      return found ? asScan(found.format, found.rawValue) : '';
    };
  } catch {
    return null; // none, or one that cannot work on this device
  }
}

/** vendoredDecoder reads pixels, {data, width, height}, four bytes each. */
export async function vendoredDecoder(wasm = {}) {
  const zxing = await import('./vendor/zxing/reader/index.js');
  const locateFile = (name) => new URL(`./vendor/zxing/${name}`, import.meta.url).href; // its own default is a public address
  await zxing.prepareZXingModule({ overrides: { locateFile, ...wasm }, fireImmediately: true });
  const options = { formats: CODES.map((c) => c.vendored), tryHarder: true, maxNumberOfSymbols: 1 };
  return async (pixels) => {
    const [found] = await zxing.readBarcodes(pixels, options);
    return found?.isValid ? asScan(found.format, found.text, found.symbologyIdentifier) : '';
  };
}

let reader = null; // made once for a page

async function makeReader() {
  const own = await ownDetector();
  if (own) return own;
  const read = await vendoredDecoder();
  const canvas = document.createElement('canvas');
  const paper = canvas.getContext('2d', { willReadFrequently: true });
  return (video) => {
    canvas.width = video.videoWidth;
    canvas.height = video.videoHeight;
    if (!canvas.width) return '';
    paper.drawImage(video, 0, 0);
    return read(paper.getImageData(0, 0, canvas.width, canvas.height));
  };
}

/**
 * Camera looks through a video element until it has read a code, and is off
 * again after that, on Escape, when the page is hidden, and after half a minute.
 * heard is told what was read, none why nothing can be, looking that it looks, and
 * off that it is off, each time.
 */
export class Camera {
  constructor({ video, heard, none, looking = () => {}, off = () => {}, patience = PATIENCE, read = () => (reader ??= makeReader()) }) {
    Object.assign(this, { video, heard, none, looking, off, patience, read });
    this.turn = 0; // of opening; an older one ends by itself
    this.stream = null;
    this.away = () => { if (document.visibilityState === 'hidden') this.close(); };
    this.left = () => this.close();
    this.key = (event) => {
      if (event.key !== 'Escape') return;
      event.preventDefault();
      event.stopPropagation();
      this.close();
    };
  }

  get on() {
    return this.stream !== null || this.opening === true;
  }

  async open() {
    if (this.on) return;
    const why = missing();
    if (why) {
      this.none(why);
      return;
    }
    const turn = ++this.turn;
    this.opening = true;
    document.addEventListener('keydown', this.key, true);
    document.addEventListener('visibilitychange', this.away);
    addEventListener('pagehide', this.left);
    try {
      const stream = await navigator.mediaDevices.getUserMedia({ video: { facingMode: 'environment', width: { ideal: 1280 }, height: { ideal: 720 } } });
      if (turn !== this.turn) { // closed while it was asked for
        stop(stream);
        return;
      }
      this.stream = stream;
      this.video.srcObject = stream;
      this.looking();
      await this.video.play();
    } catch (err) {
      if (turn !== this.turn) return;
      this.close();
      this.none(refusal(err));
      return;
    }
    await this.look(turn).catch(() => {
      if (turn !== this.turn) return;
      reader = null;
      this.close();
      this.none('The picture could not be read.');
    });
  }

  async look(turn) {
    const end = performance.now() + this.patience;
    const read = await this.read();
    while (turn === this.turn && performance.now() < end) {
      const text = await read(this.video);
      if (turn !== this.turn) return;
      if (text) {
        this.close();
        this.heard(text);
        return;
      }
      await new Promise((next) => { setTimeout(next, PAUSE); });
    }
    if (turn !== this.turn) return;
    this.close();
    this.none('No code was seen in half a minute. More light, or the paper flat, helps most.');
  }

  close() {
    if (!this.on) return;
    this.turn += 1;
    this.opening = false;
    if (this.stream) stop(this.stream);
    this.stream = null;
    this.video.srcObject = null;
    document.removeEventListener('keydown', this.key, true);
    document.removeEventListener('visibilitychange', this.away);
    removeEventListener('pagehide', this.left);
    this.off();
  }
}

function stop(stream) {
  for (const track of stream.getTracks()) track.stop();
}
