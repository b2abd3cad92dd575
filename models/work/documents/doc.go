// Package documents keeps photos and papers that hang on records: of a lot, of
// its incoming inspection, and of whatever else names a kind and a key.
//
// It believes what the bytes say and never what a name says: the same file is
// kept once by the hash of its bytes, its type is read from its content, and
// what is none of the few types that a browser shows safely is refused.
//
// Start with [Service.Add].
package documents
