// Package label draws labels: content in, bytes of a PDF out, one label a page
// on die-cut rolls, or many on a sheet of A4 that another print can go on with.
//
// It believes that a scan fails in the field and a label outlives its paper:
// so the serial stands in figures at least 2.5 mm high beside every symbol, a
// symbol keeps its quiet zone and the least module that is read with certainty,
// and a size that cannot hold all that is refused with the reason instead of
// being printed smaller. A symbol holds the serial, or a lot's code, and
// nothing else: an address inside the shop is dead at the customer's home.
//
// Black on white only. Start with [Draw].
package label
