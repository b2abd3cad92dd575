// Package demo invents a workshop: its people, products, lots, gauges, and
// about nine months of wheels and packs that behave like a real shop's. Names,
// places and values are made up here; none belongs to anybody.
//
// Everything goes through the product's own services, so that each stored
// result is what the product computes, and each verdict is its own. The same
// seed gives the same shop, but for identifiers and what hangs on them.
//
// A wheel's run-out has a part that its rim was made with and a part that its
// builder left; builders true until it passes, so the first set after relief
// tells about the process and the last one only where they stop. Tension
// follows the geometry of the flanges. Packs are put together from lots of
// blocks, rest, and are measured warm and cold.
//
// Five things are to be found, with the truth in Stories: a stand whose guide
// roller wears until it is replaced, a spoke lot that loses tension and comes
// back broken, a tension gauge that reads high, a lot of blocks that discharges
// itself, and a builder who improves. The quiet scenario has none of them:
// builders, stands and lots are exchangeable.
package demo
