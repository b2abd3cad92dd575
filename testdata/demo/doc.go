// Package demo invents a workshop: its people, products, lots, gauges, and
// about nine months of wheels and packs that behave like a real shop's. Names,
// places and values are made up here; none belongs to anybody.
//
// Every inspection is a submission that the product's own capture service
// judges, and every certificate and hold comes from its release service, so that
// each stored result and verdict is what the product computes. Things happen in
// the order of time. The same seed and moment give the same records, byte for
// byte, but for the keys of trail entries, which the database makes.
//
// A wheel's run-out has a part that its rim was made with (a pattern of its lot,
// a part of its own, and a joint opposite the valve) and a part that its builder
// left. The first set after relief tells about the process; a builder then
// trues until the wheel passes, so the last set lies just under the limit.
// Tension follows the geometry of the flanges. Packs are put together from lots
// of blocks, rest, and are measured warm and cold.
//
// Five things are to be found; [Stories] has the truth with dates and names:
//
//   - The guide roller of stand 2 wears: from 52 % of the history on it adds a
//     swing once a turn to the lateral readings there, growing to 0.26 mm, until it
//     is replaced at 80 %.
//   - One lot of butted spokes (the third of them) loses about 14 % of its tension
//     in the weeks after building, others 1.5 to 4.5 %; about one in eleven of its
//     wheels comes back with a broken spoke (W08) two to four months later, and one
//     in five of those that were shipped is claimed three to sixteen weeks later,
//     of others one in sixty.
//   - Tension gauge T-32 reads 4.8 % high from 30 % of the history until a
//     calibration finds it at 62 %; it is then out of use, and T-33 takes its place.
//   - One lot of Pallas PB17 blocks (the fourth) falls by 5.5 mV a day on the
//     shelf, others by a tenth of that; so do those of one of the lots that wait
//     for their packs, which two readings ten days apart show.
//   - Rhea Sund improves: the part of the run-out that she leaves falls to half
//     over the nine months.
//
// Beside these, builders, rim lots and block lots differ a little, as they do.
// The quiet scenario has none of it: builders, stands, gauges and lots are
// exchangeable.
package demo
