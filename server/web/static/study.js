// One reading of a gauge study: read as at the stand before it is sent, kept once,
// and taken from a gauge that posts to this stand. Nothing of it is shown again.
import { readTyped } from "./floor-reading.js";
import { said } from "./study-read.js";
import { subscribe } from "./stand-events.js";

const form = document.getElementById("reading");
const input = form.elements.value;
const line = document.getElementById("said");
const units = form.dataset.units.split(" ");
const { asked } = line.dataset;

const tell = (text, wrong) => {
  line.textContent = text;
  line.classList.toggle("wrong", wrong);
  input.setAttribute("aria-invalid", wrong);
};

// Before the page's own guard against a second sending: what is refused was not sent.
form.addEventListener("submit", (event) => {
  const text = said(readTyped(input.value, { unit: units[0], units }));
  if (text === "") return;
  event.preventDefault();
  event.stopImmediatePropagation();
  tell(text, true);
  input.select();
}, { capture: true });

input.addEventListener("input", () => tell(asked, false));

// Only what the study's own gauge posts is taken, or one that does not say which it is.
function take({ value, unit, instrument }) {
  if (form.dataset.sent || (instrument && instrument !== form.dataset.gauge)) return;
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
