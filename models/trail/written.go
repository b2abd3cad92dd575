package trail

import "fmt"

// Written is a value that writes its own members, in the order of their names:
// of an inspection's rows there are forty, and a map of each would cost more than
// the digest of all.
type Written interface{ WriteCanonical(o *Object) }

// Object takes the members of one object in the canonical order of their names.
// What is wrong is kept and told by [Canonical] and [DigestOf].
type Object struct {
	out   []byte
	last  string
	depth int
	err   error
}

// appendWritten writes the object of a value that names its members itself.
func appendWritten(out []byte, v Written, depth int) ([]byte, error) {
	o := Object{out: append(out, '{'), depth: depth}
	v.WriteCanonical(&o)
	return append(o.out, '}'), o.err
}

// name begins a member. Names are ASCII, so that the order of bytes is that of
// UTF-16 units.
func (o *Object) name(name string) bool {
	if o.err != nil {
		return false
	}
	if name <= o.last || !isPlain(name) {
		o.err = fmt.Errorf("%s after %s: members are written in the order of their names: %w", name, o.last, ErrType)
		return false
	}
	if o.last != "" {
		o.out = append(o.out, ',')
	}
	o.last = name
	o.out = append(append(append(o.out, '"'), name...), '"', ':')
	return true
}

func (o *Object) keep(out []byte, err error) {
	if err != nil {
		o.err = fmt.Errorf("%s: %w", o.last, err)
		return
	}
	o.out = out
}

// Text writes a member that is always there.
func (o *Object) Text(name, value string) {
	if o.name(name) {
		o.keep(appendString(o.out, value))
	}
}

// Filled writes a member that is left out where it is empty.
func (o *Object) Filled(name, value string) {
	if value != "" {
		o.Text(name, value)
	}
}

// Whole writes a whole number.
func (o *Object) Whole(name string, value int64) {
	if o.name(name) {
		o.keep(appendWhole(o.out, value))
	}
}

// Value writes whatever [Canonical] takes.
func (o *Object) Value(name string, value any) {
	if o.name(name) {
		o.keep(appendPlain(o.out, value, o.depth+1))
	}
}
