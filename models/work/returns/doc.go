// Package returns says what of the shop's work comes back, and what will.
//
// It believes that an item which still runs is information: its life is censored at
// its age now, and a share that leaves it out makes every month look better than it
// is. It believes that a lot is compared with what all the others did at the same
// age, never with a plain share, and that whoever looks at fifty lots finds a bad one
// among fifty good ones unless the fifty are counted. And it knows only the returns
// that it was told of, which it says each time.
//
// Service begins at shipment, or as many days after it as the shop states: what has not
// begun it has no age, and a claim that came sooner shows that the days are wrong.
//
// A return is an item's first claim since it first left; a claim that found no fault
// is none. What left is read from counts by day ([Store.CountShipped]), what came back
// item by item, so that no answer walks through everything that was ever shipped.
//
// Start with [Service.View] for one family or lot, with [Service.Families] for all.
// Curves, laws and forecasts are those of numbers/life.
package returns
