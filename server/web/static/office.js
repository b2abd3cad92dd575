// What a plain page cannot do: close the menu on Escape or a tap beside it,
// bring a form's first problem into view, and keep a form from being sent
// twice by a double tap.

const menu = document.querySelector("details.menu");
if (menu) {
  document.addEventListener("click", (event) => {
    if (menu.open && !menu.contains(event.target)) menu.open = false;
  });
  menu.addEventListener("keydown", (event) => {
    if (event.key === "Escape" && menu.open) {
      menu.open = false;
      menu.querySelector("summary").focus();
    }
  });
}

const problem = document.querySelector("[aria-invalid=true]") ?? document.querySelector(".tell[role=alert]");
problem?.focus();
// What is scanned or typed next takes the place of what was wrong.
if (problem?.tagName === "INPUT") problem.select();

// Gone back to, a page has the same place in the browser's history: what is sent once more
// from it, or after an answer that was lost, is told from what is done anew.
const [came] = performance.getEntriesByType("navigation");
const once = (came?.type !== "reload" && history.state?.once) || Array.from(crypto.getRandomValues(new Uint8Array(12)), (b) => b.toString(16).padStart(2, "0")).join("");
history.replaceState({ ...history.state, once }, "");

for (const form of document.querySelectorAll("form[method=post]")) {
  // A form of which each press counts, as the next serial or a print, says so.
  if (!("each" in form.dataset) && form.target !== "_blank") form.append(Object.assign(document.createElement("input"), { type: "hidden", name: "once", value: once }));
  form.addEventListener("submit", (event) => {
    if (form.dataset.sent) {
      event.preventDefault();
      return;
    }
    form.dataset.sent = "yes";
    // Back in the browser brings the page as it was: it may be sent again.
    addEventListener("pageshow", () => delete form.dataset.sent, { once: true });
  });
}

for (const button of document.querySelectorAll("[data-print]")) {
  button.addEventListener("click", () => print());
}

for (const select of document.querySelectorAll("select[data-go]")) {
  select.addEventListener("change", () => select.form.requestSubmit());
}

// What is chosen goes into the form, and leaves what was typed there.
for (const link of document.querySelectorAll("a[data-fill]")) {
  link.addEventListener("click", (event) => {
    const field = document.getElementsByName(link.dataset.fill)[0];
    if (!field || event.ctrlKey || event.metaKey || event.shiftKey) return;
    event.preventDefault();
    field.value = link.dataset.with;
    field.focus();
  });
}

// On a narrow page only the first of its sections is open.
if (matchMedia("(max-width: 639px)").matches) {
  document.querySelectorAll("details.fold").forEach((fold, i) => {
    fold.open = i === 0 && !document.querySelector("main .list:not(.fold .list)");
  });
}
