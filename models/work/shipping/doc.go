// Package shipping packs kits and says what left the house, for whom and with
// which order.
//
// A kit lists what it holds; items are scanned into it, small parts ticked. The
// gate lets in what is released, on no hold, fresh and of the right product, and
// in no other kit; it is asked again when the box leaves. The owner may let
// something go all the same, with a reason that is kept and printed.
//
// Customers stand in one table that nothing hashes and that can be erased; each
// look at one is recorded.
//
// Start with [Service.Kit], [Service.Pack] and [Service.Ship].
package shipping
