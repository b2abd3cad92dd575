// Package lookup answers the one question that strangers may ask: is this
// certificate in force, and what did it find?
//
// It is asked by the token on the certificate's paper and by nothing else: a
// serial or a number can be guessed. The answer holds state and verdicts. What
// the paper says beyond that (readings and values, what is built in, who
// measured and released, what people typed as a reason) is left behind here, in
// [Certificate], so that no page can show it by mistake.
//
// The answer is as true as its moment: it says when it was given.
package lookup
