// Package build records how a pack was put together: the short list of steps of
// its family, each ticked with who and when, in any order, and how far it is
// between the charger and the reading.
//
// A tick that is taken back stays on record beside its undoing. Strings side by
// side are joined last: the step takes the voltage of each string, off the charger and
// rested, and is refused where one is of no string of this pack or they differ by
// more than the limit, since unequal strings drive a large current when joined;
// the maker's sheet comes first.
//
// Ask with [Service.Sheet]; record with [Service.Tick] and [Service.Revise].
package build
