// Package lists takes whole lists in and writes them out, as spreadsheets read and
// save them: for a shop that comes from notebooks, and for whoever wants to count
// for themselves.
//
// What it believes. A list is first looked at: every problem of every row is said
// at once, by the row's number in the spreadsheet, and nothing is stored. It is
// taken in whole or not at all, in one transaction, and only as it was looked at:
// its digest goes from the one to the other. A row that is on record already is
// passed over, so that a list may be sent again; one that says otherwise is a
// problem, for history is never edited by a list. No copy of a list is kept.
//
// A list asserts what somebody knows: that a lot came, that a wheel is there and
// when it was built, what was put into it and by whom. It never asserts a verdict,
// a certificate or a shipment: an item gets those here, by being inspected,
// released and shipped.
//
// What is personal stays out of every answer but the list itself: a problem in a
// list of customers names row and column, never the content, and each customer
// written out counts as looked up.
//
// Records are checked by the services whose records they are, which this package
// knows as the few functions it asks of them. Start with [Service.Try],
// [Service.TakeIn] and [Service.Write].
package lists
