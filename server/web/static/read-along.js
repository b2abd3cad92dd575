// A drawing that is read place by place, by pointer and by keyboard: what the
// pages of the control chart and of a figure share.

const page = { plot: document.getElementById("plot"), line: document.getElementById("readout") };

/**
 * readAlong draws and listens. option(width, height) is the whole drawing,
 * marks(at) the series that mark the chosen place, said(at) the nodes of the
 * line that reads it out, nearest(x, y) the place meant there on the axes or null,
 * step(key, at) where a key leads to or null, path(at) the page behind a place
 * where there is one. A page with several drawings names the plot and line of each.
 */
export function readAlong({ option, marks, said, nearest, step, path, plot = page.plot, line = page.line }) {
  let at = null;
  const chart = globalThis.echarts.init(plot, null, { renderer: "svg" });
  draw();
  new ResizeObserver(() => {
    chart.resize();
    draw();
  }).observe(plot);

  function draw() {
    chart.setOption(option(plot.clientWidth, plot.clientHeight), { notMerge: true });
    mark();
  }

  // Only the mark moves.
  function mark() {
    if (at !== null) chart.setOption({ series: marks(at) });
  }

  function choose(index) {
    if (index === null || index === at) return;
    at = index;
    mark();
    line.replaceChildren(...said(at));
  }

  function leave() {
    const to = at !== null && path?.(at);
    if (to) location.href = to;
  }

  plot.addEventListener("keydown", (event) => {
    if (event.altKey || event.ctrlKey || event.metaKey) return;
    if (event.key === "Enter") {
      leave();
      return;
    }
    const next = step(event.key, at);
    if (next !== null) {
      event.preventDefault();
      choose(next);
    }
  });

  // The nearest place along the axis is meant, wherever the pointer is: a dot
  // of 5 px is no target.
  function pointed(event) {
    const box = plot.getBoundingClientRect();
    const [x, y] = chart.convertFromPixel({ gridIndex: 0 }, [event.clientX - box.left, event.clientY - box.top]);
    choose(nearest(x, y));
  }
  plot.addEventListener("pointermove", pointed);
  plot.addEventListener("click", pointed);
  plot.addEventListener("dblclick", leave);
}

/** worded makes a node with text in it. */
export function worded(tag, text, more = {}) {
  return Object.assign(document.createElement(tag), { textContent: text }, more);
}

/** dataOf reads what the page gives the drawing under a name. */
export const dataOf = (name) => JSON.parse(page.plot.dataset[name]);
