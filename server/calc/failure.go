package calc

import (
	"errors"

	"tracewright/models/trade/pack"
	"tracewright/models/trade/wheel"
)

// blame turns an error of a calculation into a failure that names the field,
// the first one where several are wrong. An error without a field blames the
// field given.
func blame(field string, err error) error {
	var ofWheel *wheel.FieldError
	var ofPack *pack.FieldError
	switch {
	case err == nil:
		return nil
	case errors.As(err, &ofWheel):
		return &Failure{Field: ofWheel.Field, Problem: ofWheel.Problem}
	case errors.As(err, &ofPack):
		return &Failure{Field: ofPack.Field, Problem: ofPack.Problem}
	}
	return refuse(field, err)
}
