// Package api is the interface for tablets, gauges and other programs: JSON
// under /api/v1, one file per resource, described in openapi.
//
// A handler reads its input, calls one service, and answers in a shape that
// stands beside it; nothing is judged or computed here. Names are snake_case,
// numbers that were measured are text with the digits as they stand, times are
// RFC 3339 in UTC, days YYYY-MM-DD in the shop's zone. What is not there is left
// out or null, never zero.
//
// A problem is answered as application/problem+json (RFC 9457) with one entry
// for each bad field. Repeating is harmless: an inspection is known by the id
// its tablet made.
//
// Each route stands in the table of [Routes] and in openapi/; tests hold
// the two, and real answers, against each other.
package api
