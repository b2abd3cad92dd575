package trail

import "errors"

// Why a text or value has no canonical form.
var (
	// ErrSyntax: the text is not one JSON value (RFC 8259).
	ErrSyntax = errors.New("not valid JSON")
	// ErrDuplicateKey: an object names a member twice, so readers may differ on
	// which one holds (RFC 7493, 2.3).
	ErrDuplicateKey = errors.New("member named twice")
	// ErrLoneSurrogate: a string holds half of a surrogate pair, which is no
	// character (RFC 7493, 2.1).
	ErrLoneSurrogate = errors.New("lone surrogate")
	// ErrEncoding: the text or string is not valid UTF-8.
	ErrEncoding = errors.New("not valid UTF-8")
	// ErrNumberRange: a number lies outside what a binary64 can hold, or is a
	// whole number that a binary64 would change.
	ErrNumberRange = errors.New("number out of range")
	// ErrNonFinite: a NaN or an infinity.
	ErrNonFinite = errors.New("not a finite number")
	// ErrType: a Go value of a type that has no canonical form here.
	ErrType = errors.New("type without a canonical form")
)
