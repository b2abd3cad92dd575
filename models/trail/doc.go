// Package trail makes the log of changes tamper-evident.
//
// It believes that a record can only be vouched for by its exact bytes, so every
// record has one canonical form (RFC 8785, [Canonical]), a digest of it
// ([Digest]), and an entry that names the digest and the hash of the entry
// before ([EntryHash]). Measured values enter as strings: "51.230" keeps the
// digits that were read, which a JSON number would not.
//
// A chain alone can be written anew by whoever holds all of it. What it held is
// therefore signed from time to time ([Checkpoint]) and kept elsewhere; a
// [Verifier] holds the chain against those. A [Tree] over the same hashes shows
// that one entry is in it, or that a later log begins with an earlier one.
//
// The trail proves that a record was not changed afterwards, not that a
// measurement was true.
package trail
