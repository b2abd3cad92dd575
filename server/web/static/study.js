// One reading of a gauge study: read as at the stand before it is sent, kept once,
// and taken from a gauge that posts to this stand. Nothing of it is shown again.
import { readTyped } from "./floor-reading.js";
import { said } from "./study-read.js";
import { subscribe } from "./stand-events.js";

const form = document.getElementById("reading");
const input = form.elements.value;
const line = document.getElementById("said");
const units = form.dataset.units.split(" ");
let sent = false;

const tell = (text, wrong) => {
  line.textContent = text;
  line.classList.toggle("wrong", wrong);
  input.toggleAttribute("aria-invalid", wrong);
};

form.addEventListener("submit", (event) => {
  const read = readTyped(input.value, { unit: units[0], units });
  const text = said(read, sent);
  if (text === null) {
    sent = true;
    return;
  }
  event.preventDefault();
  if (text) {
    tell(text, true);
    input.select();
  }
});

// Only what the study's own gauge posts is taken, or one that does not say which it is.
function take({ value, unit, instrument }) {
  if (sent || (instrument && instrument !== form.dataset.gauge)) return;
  input.value = `${value} ${unit}`.trim();
  form.requestSubmit();
}

const { place } = form.dataset;
if (place && globalThis.EventSource) {
  const leave = subscribe({ place, open: (address) => new EventSource(address), hear: take });
  addEventListener("pagehide", leave);
}

input.focus();
input.select();
