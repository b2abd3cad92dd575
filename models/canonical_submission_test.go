package models

import (
	"encoding/json"
	"math/rand/v2"
	"reflect"
	"testing"
	"time"

	"tracewright/models/trail"
)

// The digest is that of the submission's JSON, whatever is set in it: every
// field is filled or left empty by chance, so that a field added to the type
// and forgotten in the digest is found.
func TestDigestOfASubmissionIsThatOfItsJSON(t *testing.T) {
	chance := rand.New(rand.NewPCG(5, 7))
	for n := range 400 {
		var s Submission
		if n > 0 {
			fill(reflect.ValueOf(&s).Elem(), chance, n == 1)
		}
		raw, err := json.Marshal(s)
		if err != nil {
			t.Fatal(err)
		}
		form, err := trail.CanonicalJSON(raw)
		if err != nil {
			t.Fatal(err)
		}
		if got, err := s.Digest(); err != nil || got != trail.Digest(form) {
			t.Fatalf("digest %s (%v), want that of %s", got, err, form)
		}
	}
}

// fill sets every field, or with all false about half of them.
func fill(v reflect.Value, chance *rand.Rand, all bool) {
	if !all && chance.IntN(2) == 0 && v.Kind() != reflect.Struct {
		return
	}
	switch v.Kind() {
	case reflect.Struct:
		if v.Type() == reflect.TypeFor[time.Time]() {
			at := time.Unix(chance.Int64N(2e9), chance.Int64N(1e9)).UTC()
			if chance.IntN(2) == 0 {
				at = at.In(time.FixedZone("", 3600*chance.IntN(12))).Truncate(time.Millisecond)
			}
			v.Set(reflect.ValueOf(at))
			return
		}
		if v.Type() == reflect.TypeFor[Position]() {
			v.Set(reflect.ValueOf([]Position{Spoke(chance.IntN(36)), Block(1+chance.IntN(3), chance.IntN(5))}[chance.IntN(2)]))
			return
		}
		for i := range v.NumField() {
			fill(v.Field(i), chance, all)
		}
	case reflect.String:
		v.SetString([]string{"0.12", "é\"\n", "x"}[chance.IntN(3)])
	case reflect.Bool:
		v.SetBool(true)
	case reflect.Int, reflect.Int64:
		v.SetInt(chance.Int64N(1e6) + 1)
	case reflect.Slice:
		v.Set(reflect.MakeSlice(v.Type(), 1+chance.IntN(3), 3))
		for i := range v.Len() {
			fill(v.Index(i), chance, all)
		}
	case reflect.Map:
		v.Set(reflect.MakeMap(v.Type()))
	default:
		panic("no value for " + v.Type().String())
	}
}
