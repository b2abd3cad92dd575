// Package stands hands what a gauge sends to the page that is open at its
// stand, at once.
//
// A reading that arrives here is checked as capture would check it, and is not
// stored: what it belongs to, and whether it is taken, is the business of the
// person at the page. It lives for some minutes in memory, so that a page whose
// connection broke gets what it missed, once and in order, and a gauge that
// sends twice is not heard twice.
//
// Everything is bounded: readings kept, pages listening, and what waits for a
// slow page. A page that does not keep up is dropped and comes back.
//
// Several servers over one database do not know one another's pages: a gauge
// and the tablet of its stand speak to the same server.
package stands
