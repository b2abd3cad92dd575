package pack

import (
	"errors"
	"testing"

	"tracewright/models/numbers/measure"
)

// Limits on both sides: 50 and 100 mV per 12 V block, 10 and 20 % of the median
// (common practice, no source). Other channel quiet.
func TestSpreadLimits(t *testing.T) {
	quietV, quietR := []string{"12.88", "12.88", "12.88"}, []string{"15.0", "15.0", "15.0"}
	for _, row := range []struct {
		name  string
		v, r  []string
		cells int
		grade string
	}{
		{"nothing apart", quietV, quietR, 6, GradeA},
		{"50 mV itself, 12.91 - 12.86", []string{"12.86", "12.88", "12.91"}, quietR, 6, GradeA},
		{"a tenth of a millivolt more", []string{"12.8600", "12.88", "12.9101"}, quietR, 6, GradeB},
		{"100 mV itself", []string{"12.81", "12.88", "12.91"}, quietR, 6, GradeB},
		{"a tenth of a millivolt more", []string{"12.8099", "12.88", "12.91"}, quietR, 6, GradeReject},
		{"6 V: 25 mV itself", []string{"6.420", "6.430", "6.445"}, quietR, 3, GradeA},
		{"6 V: a tenth of a millivolt more", []string{"6.4199", "6.430", "6.445"}, quietR, 3, GradeB},
		{"6 V: 50 mV itself", []string{"6.400", "6.430", "6.450"}, quietR, 3, GradeB},
		{"6 V: a tenth of a millivolt more than that", []string{"6.3999", "6.430", "6.450"}, quietR, 3, GradeReject},
		{"10 % of the median itself", quietV, []string{"14.3", "15.0", "15.8"}, 6, GradeA},
		{"a thousandth of a milliohm more", quietV, []string{"14.3", "15.0", "15.801"}, 6, GradeB},
		{"20 % itself", quietV, []string{"13.5", "15.0", "16.5"}, 6, GradeB},
		{"a thousandth of a milliohm more", quietV, []string{"13.5", "15.0", "16.501"}, 6, GradeReject},
		{"even count, median between: 10 % itself", []string{"12.88", "12.88", "12.88", "12.88"}, []string{"14.25", "14.9", "15.1", "15.75"}, 6, GradeA},
		{"the worse of both counts", []string{"12.81", "12.88", "12.91"}, []string{"13.5", "15.0", "16.501"}, 6, GradeReject},
	} {
		t.Run(row.name, func(t *testing.T) {
			s, err := Spread(decs(t, row.v...), decs(t, row.r...), row.cells, DefaultSpreadLimits())
			if err != nil {
				t.Fatal(err)
			}
			if s.Grade != row.grade {
				t.Errorf("%v V, %v mohm: got %+v, want %s", row.v, row.r, s, row.grade)
			}
		})
	}
}

func TestSpreadFigures(t *testing.T) {
	s, err := Spread(decs(t, "12.91", "12.86", "12.88"), decs(t, "13.5", "16.5", "15.0"), 6, DefaultSpreadLimits())
	if err != nil {
		t.Fatal(err)
	}
	if s.VoltageRange.String() != "0.05" {
		t.Errorf("range %s, want 0.05", s.VoltageRange)
	}
	near(t, "range of resistance over its median", s.ResistPct, 20, 1e-12) // 3/15
	if s.ByVoltage != GradeA || s.ByResistance != GradeB {
		t.Errorf("got %+v", s)
	}
}

// Lithium cells are graded as they are: 20 and 30 mV for iron phosphate at the top
// of charge, 10 and 20 mV otherwise, 10 and 15 % (common practice, no source).
func TestSpreadOfLithium(t *testing.T) {
	for _, row := range []struct {
		name  string
		class Class
		v, r  []string
		grade string
	}{
		{"iron phosphate, 20 mV", ClassLiFePO4, []string{"3.440", "3.460"}, []string{"0.50", "0.50"}, GradeA},
		{"iron phosphate, 21 mV", ClassLiFePO4, []string{"3.440", "3.461"}, []string{"0.50", "0.50"}, GradeB},
		{"iron phosphate, 31 mV", ClassLiFePO4, []string{"3.440", "3.471"}, []string{"0.50", "0.50"}, GradeReject},
		{"other, 10 mV", ClassLiIon, []string{"3.640", "3.650"}, []string{"20", "20"}, GradeA},
		{"other, 20 mV", ClassLiIon, []string{"3.640", "3.660"}, []string{"20", "20"}, GradeB},
		{"other, 21 mV", ClassLiIon, []string{"3.640", "3.661"}, []string{"20", "20"}, GradeReject},
		{"resistance, 15 % of the median", ClassLiIon, []string{"3.640", "3.640", "3.640"}, []string{"18.5", "20", "21.5"}, GradeB},
		{"resistance, more", ClassLiIon, []string{"3.640", "3.640", "3.640"}, []string{"18.5", "20", "21.51"}, GradeReject},
	} {
		t.Run(row.name, func(t *testing.T) {
			limits, err := ClassSpreadLimits(row.class)
			if err != nil {
				t.Fatal(err)
			}
			s, err := Spread(decs(t, row.v...), decs(t, row.r...), 1, limits)
			if err != nil || s.Grade != row.grade {
				t.Errorf("got %+v, %v, want %s", s, err, row.grade)
			}
		})
	}
}

func TestSpreadRefuses(t *testing.T) {
	one, two := decs(t, "12.88"), decs(t, "12.88", "12.90")
	for name, err := range map[string]error{
		"one block":             spreadErr(one, one, 6),
		"a resistance missing":  spreadErr(two, decs(t, "15"), 6),
		"voltage not given":     spreadErr([]measure.Decimal{{}, dec(t, "12.88")}, two, 6),
		"zero resistance":       spreadErr(two, decs(t, "15", "0"), 6),
		"reversed block":        spreadErr(decs(t, "12.88", "-12.88"), two, 6),
		"a block without cells": spreadErr(two, two, 0),
	} {
		if !errors.Is(err, ErrInput) {
			t.Errorf("%s: got %v, want ErrInput", name, err)
		}
	}
}

func spreadErr(v, r []measure.Decimal, cells int) error {
	_, err := Spread(v, r, cells, DefaultSpreadLimits())
	return err
}
