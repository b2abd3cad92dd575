// Package kinds is the catalogue of what the workshop makes and measures: for
// each kind of item, which characteristics it has, where on the item their
// readings are taken, and how readings reduce to results.
//
// A kind knows no database and no decision rule. It is given readings that are
// already exact decimals in the characteristic's own unit, and answers with
// values; a specification judges them afterwards. A result that a method
// cannot give is left out, never guessed and never zero.
//
// A new kind is one file and one line in catalogue.go.
package kinds
