// Package genealogy answers where parts came from and where they went: which
// items hold a lot, what went into an item, what a kit holds at a moment, which
// items a gauge or a person had in hand, and whether a lot adds up.
//
// What was built in stays so (Use, the transformation event of ISO/IEC 19987);
// what a kit holds changes (Move, its aggregation event) and is asked for at a
// moment. Parts, items and lots are named by keys of the caller's.
package genealogy
