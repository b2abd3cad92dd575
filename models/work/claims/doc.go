// Package claims is the warranty desk: what customers say is wrong, what was
// found, what was decided and what it cost.
//
// A claim never waits for what nobody knows yet. It may name an item, or, for
// one that is older than the log or has lost its label, a motor number, an order
// or a few words; the item is named later. What the customer said stays out of
// everything that cannot be erased. Nothing here decides by itself: the check
// list suggests a code, and the warranty date is shown beside the decision.
//
// Start with [Service.Open].
package claims
