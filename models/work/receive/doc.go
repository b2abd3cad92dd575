// Package receive takes in what the workshop builds from, and gives new items
// their names: lots, motors and blocks at goods-in, serials for wheels and
// packs, rolls of labels printed ahead.
//
// It believes that a maker's number is the maker's: it is kept as it stands on
// the part and is unique only within a supplier and model. A block without one
// gets a serial of the shop, of kind letter B. Serials are given out in order,
// by the year in the shop's zone, and none comes back.
//
// Of a lot it also keeps what was looked at when it came, what was decided about
// it, and whether it adds up: a difference is a question to the shop, and no
// figure is ever corrected to make it go away. An incoming inspection says what
// it lets through, because a plan without that is a habit.
//
// Start with [Service.AddLot], [Service.Story], [Service.AddPart],
// [Service.MakeItem] and [Service.AddRoll].
package receive
