// Package calc offers the calculations of the program to the command line: one
// table from the name of a kind to a function, JSON in and JSON out.
//
// It computes nothing. Each function reads its input strictly, calls the
// package that holds the formula, and names the fields of the answer. A new
// kind is one line in the table of its subject (numbers.go, records.go,
// wheels.go, packs.go) and the function it names.
//
// Input that cannot be used gives a [Failure], which names the field. Unknown
// fields are refused, so that a misspelt one is not silently left out; the
// fields note, legend, attack and case are remarks and ignored.
package calc
