// Package effect answers whether a change helped: what a result was before a
// moment and after it, with the interval of the difference, and how often days
// shuffled over the moment give as large a one.
//
// It believes that a day is one witness, however many wheels it gave, so intervals
// rest on days (numbers/stats.RobustDifference) and whole days are shuffled
// (numbers/stats.CompareBlocks). It believes too that a difference after a change
// is not yet its effect: it says when the result was moving before already, what
// else happened near the moment, what all others did meanwhile, and that a day
// that was chosen by looking at the chart proves nothing.
package effect
