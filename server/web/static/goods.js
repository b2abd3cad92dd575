// Goods in without a mouse: a scanner ends with Enter, which goes to the next
// field of the form and sends it from the last one only. A file that is too
// large is said before it is sent.
import { nextAfter, tooLarge } from "./goods-keys.js";

for (const form of document.querySelectorAll("form[data-scan]")) {
  const ends = (event) => event.key === "Enter" && !event.isComposing && event.target.tagName === "INPUT";
  for (const half of ["keydown", "keypress"]) {
    form.addEventListener(half, (event) => {
      if (ends(event)) event.preventDefault();
    });
  }
  // Only when the key is up again: the rest of it must not reach the next field,
  // where it would open a list.
  form.addEventListener("keyup", (event) => {
    if (!ends(event)) return;
    const next = nextAfter([...form.querySelectorAll("input:not([type=hidden]),select,textarea,button")], event.target);
    next?.focus();
    next?.select?.();
  });
}

for (const form of document.querySelectorAll("form[data-most]")) {
  form.addEventListener("change", (event) => {
    const input = event.target;
    if (input.type !== "file") return;
    const says = tooLarge(input.files, Number(form.dataset.most));
    input.setCustomValidity(says);
    if (says) input.reportValidity();
  });
}
