// Draws the control chart, lets it be read point by point and chosen from, and
// keeps it up to date while somebody looks. Everything that is decided stands in
// control-option.js.
import { concerns, following, option, pointsOf, step, stretch, zoomed } from "./control-option.js";

const plot = document.getElementById("plot");
const line = document.getElementById("readout");
const chart = globalThis.echarts.init(plot, null, { renderer: "svg" });
let data, view, at = null, base = null, drawing = false;

function load(keep) {
  const before = keep && data;
  data = JSON.parse(plot.dataset.chart);
  data.points = pointsOf([...document.querySelectorAll("#points tbody tr")].map((row) => ({
    texts: [...row.cells].map((cell) => cell.textContent), path: row.cells[1].querySelector("a")?.getAttribute("href"), name: row.dataset.name,
  })), data.behind);
  const count = data.points.length;
  // Who looks at everything goes on doing so; who looked closer keeps the place.
  view = !before || (view[0] === 0 && view[1] >= before.points.length) ? [0, count] : [Math.min(view[0], count - 1), Math.min(view[1], count)];
  if (at !== null && at >= count) at = count - 1;
}

function draw() {
  chart.setOption(option(data, plot.clientWidth, plot.clientHeight, view, base), { notMerge: true });
  mark();
}

// Only the ring about the chosen point moves.
function mark() {
  if (at === null) return;
  const ring = { type: "scatter", silent: true, z: 8, symbol: "circle", symbolSize: 17, itemStyle: { color: "transparent", borderColor: "#005a9c", borderWidth: 2.5 } };
  const rings = [{ ...ring, id: "ring", data: [[at, data.values[at]]] }];
  if (data.within?.phases.some((p) => at >= p.from && at < p.to)) rings.push({ ...ring, id: "ring of the spread", xAxisIndex: 1, yAxisIndex: 1, data: [[at, data.within.values[at]]] });
  chart.setOption({ series: rings });
}

function worded(tag, text, more = {}) {
  return Object.assign(document.createElement(tag), { textContent: text }, more);
}

function choose(index) {
  if (index === null || index === at || index < 0 || index >= data.points.length) return;
  at = index;
  const next = following(view, data.points.length, at);
  if (next[0] !== view[0]) {
    view = next;
    draw();
  } else {
    mark();
  }
  say();
}

function say() {
  const p = data.points[at];
  const name = p.path ? worded("a", p.serial, { href: p.path, className: "mono" }) : worded("span", p.serial);
  line.replaceChildren(name, worded("b", ` ${p.value} `), worded("span", [p.when, p.place].filter(Boolean).join(", ") + ". ", { className: "quiet" }), p.signal ?? "");
}

function zoom(way) {
  view = zoomed(view, data.points.length, way, at);
  draw();
}

// The ends of a baseline, by key, by mouse or typed: the fields hold them.
const firstField = document.getElementById("baseline-first");
const lastField = document.getElementById("baseline-last");
const drag = document.querySelector("#drag button");

function setBase(a, b) {
  if (!firstField) return;
  base = [a, b];
  const s = stretch(data.points, a, b);
  firstField.value = s.first;
  lastField.value = s.last;
  document.getElementById("baseline").open = true;
  line.replaceChildren(worded("b", `${s.n} ${s.n === 1 ? "point" : "points"}`), ` from ${s.first} to ${s.last} are chosen for a baseline.`);
  draw();
}

plot.addEventListener("keydown", (event) => {
  if (event.altKey || event.ctrlKey || event.metaKey) return;
  if (event.key === "Enter" && at !== null && data.points[at].path) {
    location.href = data.points[at].path;
    return;
  }
  const zooms = { "+": "in", "=": "in", "-": "out", "0": "all" }[event.key];
  const end = at !== null && { b: 0, e: 1 }[event.key.toLowerCase()];
  if (zooms) {
    event.preventDefault();
    zoom(zooms);
  } else if (end === 0 || end === 1) {
    event.preventDefault();
    setBase(end === 0 ? at : (base?.[0] ?? 0), end === 1 ? at : (base?.[1] ?? data.points.length - 1));
  } else {
    const next = step(event.key, at, data.points.length, data.signals.map((s) => s.point));
    if (next !== null) {
      event.preventDefault();
      choose(next);
    }
  }
});

// The nearest place along the axis is meant, wherever the pointer is: a dot of
// 5 px is no target.
function place(event) {
  const box = plot.getBoundingClientRect();
  const [x] = chart.convertFromPixel({ gridIndex: 0 }, [event.clientX - box.left, event.clientY - box.top]);
  return Math.max(0, Math.min(data.points.length - 1, Math.round(x)));
}
let down = null;
plot.addEventListener("pointerdown", (event) => {
  if (!drawing) return;
  down = place(event);
  plot.setPointerCapture(event.pointerId);
  event.preventDefault();
});
plot.addEventListener("pointermove", (event) => {
  if (down === null) choose(place(event));
  else if (place(event) !== base?.[1]) setBase(down, place(event));
});
plot.addEventListener("pointerup", () => {
  if (down === null) return;
  down = null;
  if (base && base[0] > base[1]) base.reverse();
});
plot.addEventListener("click", (event) => { if (!drawing) choose(place(event)); });
plot.addEventListener("dblclick", () => { if (!drawing && at !== null && data.points[at].path) location.href = data.points[at].path; });
drag?.addEventListener("click", () => {
  drawing = !drawing;
  drag.setAttribute("aria-pressed", String(drawing));
  plot.classList.toggle("drawing", drawing);
  if (drawing) plot.scrollIntoView({ block: "center" });
});
document.getElementById("zoom").addEventListener("click", (event) => {
  const way = event.target.closest("[data-zoom]")?.dataset.zoom;
  if (way) zoom(way);
});

// A change of this chart: what is seen is fetched anew. What somebody is doing
// stays: the chosen point, the shown part, and any form that is open or typed in.
const seen = ["finding", "bands", "said"];
let fetching = false;
async function renew() {
  if (fetching) return;
  fetching = true;
  try {
    const answer = await fetch(location.href, { headers: { Accept: "text/html" }, cache: "no-store" });
    if (!answer.ok) return;
    const page = new DOMParser().parseFromString(await answer.text(), "text/html");
    const fresh = page.getElementById("plot");
    if (!fresh) return;
    for (const id of seen) {
      const old = document.getElementById(id), now = page.getElementById(id);
      if (old && now && !old.contains(document.activeElement) && old.innerHTML !== now.innerHTML) old.replaceChildren(...now.childNodes);
    }
    document.querySelector("#points tbody").replaceChildren(...page.querySelectorAll("#points tbody tr"));
    // The form that asks for a cause comes when there is a signal; one that is
    // there already is somebody's.
    const asked = page.getElementById("cause");
    if (asked && !document.getElementById("cause")) document.getElementById("pick").before(asked);
    plot.dataset.chart = fresh.dataset.chart;
    plot.setAttribute("aria-label", fresh.getAttribute("aria-label"));
    load(true);
    draw();
  } finally {
    fetching = false;
  }
}

// The stream tells of changes at once. Where there is none, a cheap question
// every two seconds does.
let polling = null, known = null;
async function ask() {
  if (document.hidden) return;
  const [family, product, place, result] = plot.dataset.key.split("|");
  const about = new URLSearchParams(Object.entries({ family, product, place, result }).filter(([, v]) => v));
  const answer = await fetch("/api/v1/charts/mark?" + about, { headers: known ? { "If-None-Match": known } : {}, cache: "no-store" }).catch(() => null);
  if (!answer?.ok) return;
  const now = answer.headers.get("ETag");
  if (known && now !== known) await renew();
  known = now;
}
function poll() {
  if (polling) return;
  ask();
  polling = setInterval(ask, 2000);
}
function listen() {
  const stream = new EventSource("/api/v1/charts/events");
  let opened = false;
  stream.addEventListener("open", () => { opened = true; });
  stream.addEventListener("changed", (event) => {
    if (concerns(plot.dataset.key, JSON.parse(event.data))) renew();
  });
  stream.addEventListener("error", () => {
    if (opened && stream.readyState !== EventSource.CLOSED) return; // It comes back by itself.
    stream.close();
    poll();
  });
}

load(false);
draw();
document.getElementById("zoom").hidden = false;
if (drag) document.getElementById("drag").hidden = false;
new ResizeObserver(() => {
  chart.resize();
  draw();
}).observe(plot);
listen();
