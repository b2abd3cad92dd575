// Package goodness says how good the shop's work is against its own limits.
//
// It believes that only a first set speaks of the process: a builder trues until a
// wheel passes, so that what was certified shows where people stop and carries no
// index. It believes that a share is k of n with an interval before it is anything
// else; that a law fitted to the values may add to that where it fits and there are
// enough of them, and is silent where not; and that an index of a process that is not
// in control is no promise, so that there is none.
//
// Values are held against the limits that they were judged by, each item against those
// of its own product. Where those differ the share still counts, and law and index
// wait until one product is chosen.
//
// Start with [Service.Overview] for every result of a family and with [Service.View]
// for one. Whether the process was in control is asked of whoever draws its chart, see
// [Chart]. Laws, intervals and indices are those of numbers/stats and numbers/spc.
package goodness
