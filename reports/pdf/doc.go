// Package pdf is the page kit of the paper that leaves the shop: A4 pages, or
// pages the size of a label,
// three embedded fonts, text that wraps, tables whose figures share their
// decimal point, QR codes, attached files, and a canvas on which charts and
// readings are drawn as lines. It is the only package that imports gofpdf.
//
// A Document is drawn from top to bottom in millimetres, x from the left edge
// and y downward, text by its baseline. The first error is kept and comes out
// of Bytes, so that drawing code reads as a list of what is on the page. The
// same calls give the same bytes: dates come from the caller, nothing from a
// clock.
//
// The fonts hold Latin, Greek, Cyrillic and the signs of measurement. A letter
// outside them, in a name say, is not refused, since a name must not stop a
// release: it is printed as a question mark, Lacks tells beforehand, and the
// report says so on the page.
//
// Pictures of dots do not exist here: everything is text, lines and filled
// shapes, so that it prints sharp and stays small.
package pdf
