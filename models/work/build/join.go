package build

import (
	"context"
	"fmt"
	"slices"
	"strconv"
	"time"

	"tracewright/models"
	"tracewright/models/numbers/measure"
	"tracewright/models/trade/kinds"
	"tracewright/models/trade/pack"
)

// Join is what the strings of a pack are joined by, V.
type Join struct {
	Apart       string // they may differ by so much
	Least, Most string // a rested string lies between them
}

// joinBy gives what strings are joined by: pack.JoinLimit and kinds.StringWindow.
func joinBy(form models.PackForm) (Join, error) {
	limit, err := pack.JoinLimit(pack.Chemistry(form.Chemistry), form.Cells*form.Blocks)
	if err != nil {
		return Join{}, fmt.Errorf("how far strings may differ: %w", err)
	}
	least, most, err := kinds.StringWindow(form)
	if err != nil {
		return Join{}, err
	}
	return Join{Apart: limit.RoundTo(3).Trim().String(), Least: least.String(), Most: most.String()}, nil
}

// mayJoin refuses to join strings at a moment: on a charger, before their rest is
// over, at voltages that no rested string of this pack has, or further apart than
// the limit.
func (s *Service) mayJoin(ctx context.Context, sheet Sheet, typed []string, at time.Time) error {
	if sheet.Form == nil {
		return models.Invalid("string_volts", "no_form_to_join_by")
	}
	if len(typed) != sheet.Form.Strings {
		return models.Invalid("string_volts", "string_volts_count", "got", fmt.Sprint(len(typed)), "want", fmt.Sprint(sheet.Form.Strings))
	}
	if err := s.atRest(ctx, sheet, at); err != nil {
		return err
	}
	volts, err := stringVolts(sheet.Join, typed)
	if err != nil {
		return err
	}
	join, err := pack.JoinStrings(volts, pack.Chemistry(sheet.Form.Chemistry), sheet.Form.Cells*sheet.Form.Blocks)
	if err != nil {
		return fmt.Errorf("compare the strings: %w", err)
	}
	if !join.OK {
		return refused("strings_differ", "range", join.Range.String()+" V", "limit", sheet.Join.Apart+" V")
	}
	return nil
}

// stringVolts reads the voltages of strings, each with its own problem.
func stringVolts(by Join, typed []string) ([]measure.Decimal, error) {
	least, errLeast := measure.Parse(by.Least)
	most, errMost := measure.Parse(by.Most)
	if errLeast != nil || errMost != nil {
		return nil, fmt.Errorf("window of a string %q to %q: not two numbers", by.Least, by.Most)
	}
	volts, invalid := make([]measure.Decimal, len(typed)), &models.InvalidError{}
	for i, text := range typed {
		field, n := fmt.Sprintf("string_volts[%d]", i), strconv.Itoa(i+1)
		v, err := measure.ParseReading(text)
		switch {
		case err != nil:
			invalid.Add(field, "not_a_number", "typed", models.Shortened(text))
		case v.Sign() < 0:
			invalid.Add(field, "string_reversed", "string", n, "typed", v.String()+" V")
		case v.Cmp(least) < 0:
			invalid.Add(field, "string_too_low", "string", n, "typed", v.String()+" V", "least", by.Least+" V")
		case v.Cmp(most) > 0:
			invalid.Add(field, "string_too_high", "string", n, "typed", v.String()+" V", "most", by.Most+" V")
		}
		volts[i] = v
	}
	return volts, invalid.OrNil()
}

// atRest refuses a moment at which the pack or a block in it was on a charger by
// the record, or had not rested since as long as the product asks for.
func (s *Service) atRest(ctx context.Context, sheet Sheet, at time.Time) error {
	charges, err := s.store.ChargesReaching(ctx, sheet.Item.ID)
	if err != nil {
		return fmt.Errorf("charges before strings are joined: %w", err)
	}
	rest, known := kinds.RestAt(charges, at)
	switch {
	case !known:
	case rest.Charging:
		return refused("joined_on_charger")
	case rest.Hours < sheet.Rest.Hours:
		return refused("joined_before_rest", "rest", rest.Text()+" h", "least", fmt.Sprintf("%g h", sheet.Rest.Hours))
	}
	return nil
}

// again is a step ticked as it stands: the same changes nothing, but strings that
// are joined have no voltages of their own any more.
func again(is models.BuildTick, volts []string) error {
	same := func(a, b string) bool {
		x, errX := measure.ParseReading(a)
		y, errY := measure.ParseReading(b)
		return errX == nil && errY == nil && x.Equal(y)
	}
	if is.Step != StringsJoined || !is.Done || slices.EqualFunc(is.Volts, volts, same) {
		return nil
	}
	return refused("strings_joined_already")
}

func refused(code string, values ...string) error {
	return &models.RefusedError{Reasons: []models.Remark{models.NewRemark(code, values...)}}
}
