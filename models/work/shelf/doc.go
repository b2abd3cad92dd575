// Package shelf keeps watch over packs and loose blocks that stand: what charge
// each has left, until when it may ship, and by when it must be charged again.
//
// It believes that a figure nobody measured is an estimate and says from what it
// follows: the last reading at rest, the temperature of the place since, and the
// loss that the block's kind has. Two dates matter and differ: ship-ready until,
// when the voltage falls below the limit the pack was judged by, and charge by,
// for the health of the blocks; which rule set each is said with it. The oldest
// goes out first, and is kept for the open order that is due first. What was shipped
// stands there no more, until it is put on a shelf again.
//
// A refresh is a recorded charge and then a new reading at rest: between the two
// nothing is estimated, the pack waits.
// After a capacity test nothing read before counts: until a charge began after it,
// the pack is to be charged.
//
// What stands on the shelf is kept in memory and brought up to date from what
// was added since the last look, so that a look costs the same in the tenth year
// as in the first. Records only ever get added, which is what makes that right.
//
// Ask with [Service.Look]; record with [Service.StartCharge],
// [Service.EndCharge], [Service.Place], [Service.AddTemperature] and
// [Service.WantFor].
package shelf
