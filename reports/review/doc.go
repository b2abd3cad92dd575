// Package review draws what was said about a week or a month on up to four pages, one
// where there was next to nothing: a section for each of the owner's questions, one sentence a finding, and the pictures
// that they came from, as lines and text alone. Content in, bytes out: no clock, no
// database. All of it reads in grey.
package review
