// Package labels says what stands on a label, where a half-used sheet goes on,
// and counts what was printed.
//
// It believes that a label is printed again with the same number, as often as
// somebody needs it, and that each time is worth a line in the item's history:
// two labels of one serial in the shop are a fact that a look-up should know.
// Looking at a label on a screen is no print, and a print changes nothing about
// what it is for.
//
// Start with [Service.Items], [Service.Lot] or [Service.Roll] for a [Batch],
// and [Service.Count] once it goes to the printer.
package labels
