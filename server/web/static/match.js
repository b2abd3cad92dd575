// A scan is sent without leaving the page: the answer's page takes the place of
// what is shown, the field has the focus again, and the tone says what became
// of it. Without this script the forms do the same, page by page.
import { sound } from './floor-tones.js';

const part = (from) => from.querySelector('#match');

/** settle brings the current pack into view, where the list scrolls by itself, and gives the field the focus back. */
function settle() {
  const list = document.querySelector('.packs');
  const now = document.querySelector('#now');
  if (now && list.scrollHeight > list.clientHeight) list.scrollTop = now.offsetTop - list.offsetTop - list.firstElementChild.offsetHeight + 1;
  document.querySelector('#block')?.focus({ preventScroll: true });
}

/** failed says that a scan did not arrive; it is not lost from the field. */
function failed(typed) {
  const last = document.querySelector('#last');
  last.className = 'last refused';
  const line = (text, name) => Object.assign(document.createElement('p'), { className: name, textContent: text });
  last.replaceChildren(line('Not sent', 'lab'), line(typed, 'got struck'), line('No answer from the office: scan it again.', 'sub'));
  sound('refused');
}

let sending = false;

async function send(form) {
  if (sending) return;
  sending = true;
  const body = new URLSearchParams(new FormData(form));
  body.delete('once'); // each scan is an act of its own
  try {
    const response = await fetch(form.action, { method: 'POST', body, credentials: 'same-origin' });
    const page = part(new DOMParser().parseFromString(await response.text(), 'text/html'));
    if (!page) {
      location.assign(response.url); // signed out, or an error with a page of its own
      return;
    }
    part(document).replaceWith(page);
    sound(page.dataset.tone);
  } catch {
    failed(body.get('block') ?? '');
  } finally {
    sending = false;
  }
  settle();
}

document.addEventListener('submit', (event) => {
  if (!event.target.action.endsWith('/place')) return;
  event.preventDefault();
  send(event.target);
});

// A letter or digit typed while something else has the focus belongs into the field.
document.addEventListener('keydown', (event) => {
  if (event.ctrlKey || event.altKey || event.metaKey || event.key.length !== 1 || event.key === ' ') return;
  if (!event.target.closest('input, details')) document.querySelector('#block')?.focus();
});

settle();
