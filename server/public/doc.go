// Package public is what strangers see of the shop: one page for each
// certificate, found by the token on its paper, and one that asks for it.
//
// It stands apart from the pages of the shop, on a listener of its own, and
// knows a single service, [lookup.Service], which tells it no more than may be
// told: nothing of the inside can be reached through it. It has no session, no
// cookie and no script, takes GET and HEAD only, and answers each connection so
// many times a minute and not more.
//
// What can be mistyped is answered as what nobody has: whoever tries codes
// learns nothing but that they were wrong. A token is a secret between the shop
// and whoever holds the paper, so it enters no log, and the pages tell no other
// site where a reader came from.
//
// The same pages can be written as files ([Export]), for a shop that has a web
// space and no computer that strangers may reach. Such a page is as old as the
// last export, and says so.
package public
