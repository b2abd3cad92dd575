// Package sealing numbers and chains what the log of changes gathers, and signs
// from time to time what it holds.
//
// A change writes its entry unnumbered, in its own transaction; the sealer takes
// what waits, a few times a second, and links it to the chain (package trail).
// It is never elected: whoever holds the head of the chain numbers, so several
// servers may seal the same log. A checkpoint says, signed by this server's key,
// what the chain held; kept outside the database it is a witness. One is
// written each hour and before each certificate.
//
// Start with [New] and [Service.Begin], then let [Service.Run] work until the
// server stops. What goes wrong while it runs never stops the shop: it is
// written down once, tried again, and told by [Service.State].
//
// A sealed log proves that the record was not changed afterwards, not that a
// measurement was true.
package sealing
