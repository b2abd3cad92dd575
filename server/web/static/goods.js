// Goods in without a mouse: a scanner ends with Enter, which goes to the next
// field of the form and sends it from the last one only. A supplier's GS1 code is
// read at once, and fills in what it says. A file that is too large is said before
// it is sent.
import { filledBy, isLabel, nextAfter, tooLarge } from "./goods-keys.js";

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

for (const form of document.querySelectorAll("form[data-labels]")) {
  form.addEventListener("input", (event) => event.target.setCustomValidity(""));
  form.addEventListener("change", async ({ target }) => {
    if (target.type !== "text" || !isLabel(target.value)) return;
    const text = target.value;
    // Without an answer the code stays as it is: the server reads it with the form.
    const answer = await fetch("/api/v1/lots/read", { method: "POST", headers: { "Content-Type": "application/json" }, body: JSON.stringify({ text }) }).catch(() => null);
    const said = await answer?.json().catch(() => null);
    if (!said || target.value !== text) return;
    if (!answer.ok) {
      target.setCustomValidity(said.errors?.[0]?.message ?? said.title ?? "");
      target.reportValidity();
      return;
    }
    const named = [...form.querySelectorAll("input[name]:not([type=hidden]),textarea")];
    const filled = filledBy(said, Object.fromEntries(named.map((f) => [f.name, f.value])), target.name);
    for (const field of named) if (field.name in filled) field.value = filled[field.name];
    if (target.value === "") target.focus();
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
