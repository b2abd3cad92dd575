// Package studies asks how far a gauge, and the people who read it, can be
// believed: studies as a guided task, what the uncertainty of a result is made of,
// and what a decision rule costs before it is chosen.
//
// It believes that a study is planned before it is read: the order is one of
// chance with its seed kept, and nobody sees what was read before, neither their
// own nor another's. A reading that was mistyped is struck with a reason and read
// again; it stays where it was. A study that is not complete, or whose readings say
// nothing of scatter, has no figures.
//
// A confirmed study's figures go into the uncertainty budget of its result; the
// limits and rules of a specification are changed by nobody but its owner.
package studies
