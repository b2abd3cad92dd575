// Package specify keeps what the workshop makes and what it asks of it:
// families, products with their short forms, and numbered specifications.
//
// It believes that what something was judged by must stay to be read: so a form
// or a specification is never edited, only followed by the next revision, and
// each revision says why it was made. Limits that the program brings are
// editable defaults of common practice; the maker's data come first.
//
// Input is checked whole: one [models.InvalidError] names every bad field, and
// nothing is stored. Decimals may be typed with comma or point and are stored
// plainly, with the digits as typed.
//
// The package refuses a guarded rule that could not be applied honestly: to a
// limited result without an uncertainty, where the guard bands leave nothing to
// accept, and to a run-out, whose reading noise makes it too large on one side
// only, so that value plus uncertainty would say the wrong thing.
//
// Start with [Service.AddFamily], then [Service.AddProduct], and change limits
// with [Service.ReviseSpecification].
package specify
