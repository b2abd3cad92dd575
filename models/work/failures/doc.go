// Package failures says what fails, how often, where, and what it costs.
//
// It believes that first sets speak for the work: what a person has trued until it
// passed shows where people stop. So a wheel counts by its first set after relief, a
// pack by its first final inspection, a block by its first reading when it comes in;
// a set that is neither passed nor failed, because something was not read, counts in
// neither share and is named beside them.
//
// It ranks nobody. Groups (stands, builders, lots, products, months) are held
// against what their own mix would give, exactly and with room for how many are
// compared, and stand in the order of their names; a group of fewer than
// [FewestInGroup] is listed by its counts alone. Names of builders are for those who
// decide about the work, and for everybody his own.
//
// It counts nothing itself: the tallies of package models, kept by the store, are
// added up here. Start with [Service.Ask], [Service.Items] and [Service.Said].
package failures
