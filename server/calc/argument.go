package calc

import (
	"errors"

	"tracewright/models/numbers/stats"
)

// argument turns an error of the numbers into a failure that names the field:
// the argument that the error is about, by the name that it has in the input
// where that is another one (pairs of argument and field), or else the field
// given. A prefix such as queries[2]. says where in the input it stands.
func argument(prefix, field string, err error, renamed ...string) error {
	var named *stats.ArgumentError
	if !errors.As(err, &named) {
		return refuse(prefix+field, err)
	}
	field = named.Argument
	for i := 0; i+1 < len(renamed); i += 2 {
		if renamed[i] == field {
			field = renamed[i+1]
		}
	}
	return &Failure{Field: prefix + field, Problem: named.Err.Error()}
}
