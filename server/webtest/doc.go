// Package webtest walks through the pages in a real browser, headless Chromium,
// the way a person at a stand does: by keyboard alone, from sign-in to the
// certificate.
//
// Each walk has the whole server on a database of its own. Pictures of what was
// seen are written to the folder TRACEWRIGHT_TEST_PICTURES, where it is set.
// Without a browser the walks are left out and say so; with
// TRACEWRIGHT_TEST_ALL=1 its absence is a failure.
package webtest
