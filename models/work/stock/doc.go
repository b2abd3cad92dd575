// Package stock is about battery blocks before they are a pack: taking a
// delivery in with its readings, finding those that lose charge, setting aside
// and releasing, and choosing which blocks go together.
//
// What it believes. A list is taken in whole or not at all: what is wrong with it
// is said row by row and field by field, and nothing is stored. Sending it again
// is harmless, whatever was stored of it before. A unit is never guessed for the
// person: what a value would be in another unit is offered, and the row waits. A
// block that is set aside goes into no pack; a limit is not widened to use up
// stock. Every block that is not offered has its reason beside it.
//
// It computes nothing itself: package pack holds the arithmetic, and readings
// are recorded and judged as every inspection is.
//
// Start with [Service.TakeIn]; [Service.Stock] is the measured stock,
// [Service.Screen] compares two readings of each block, [Service.Propose] and
// [Service.Pick] make packs of it.
package stock
