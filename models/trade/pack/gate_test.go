package pack

import (
	"errors"
	"math"
	"slices"
	"testing"
)

// Limits: 24 h of rest as makers ask for; 2.18 V a cell and 4 h common practice,
// no source.
func TestGate(t *testing.T) {
	good := Reading{Chemistry: AGM, OCV: 12.88, Cells: 6, RestH: 24, MinRestH: 24}
	for _, row := range []struct {
		name    string
		change  func(*Reading)
		reasons []string
	}{
		{"good", func(*Reading) {}, nil},
		{"rest of exactly the minimum", func(r *Reading) { r.RestH = 24 }, nil},
		{"a minute less", func(r *Reading) { r.RestH = 24 - 1.0/60 }, []string{RestTooShort}},
		{"on charger", func(r *Reading) { r.OnCharger = true }, []string{OnCharger}},
		{"under load", func(r *Reading) { r.LoadA = 0.01 }, []string{UnderLoad}},
		{"charging current, other sign", func(r *Reading) { r.LoadA = -0.01 }, []string{UnderLoad}},
		{"2.18 V a cell itself", func(r *Reading) { r.OCV = 13.08 }, nil},
		{"a millivolt more", func(r *Reading) { r.OCV = 13.081 }, []string{SurfaceChargeSuspected}},
		{"6 V block at 2.18 V a cell", func(r *Reading) { r.OCV, r.Cells = 6.54, 3 }, nil},
		{"6 V block above", func(r *Reading) { r.OCV, r.Cells = 6.541, 3 }, []string{SurfaceChargeSuspected}},
		{"lithium has no surface charge rule", func(r *Reading) { r.Chemistry, r.OCV, r.Cells = LiIon, 4.1, 1 }, nil},
		{"reversed block is a reading", func(r *Reading) { r.OCV = -12.88 }, nil},
		{"all at once, in order", func(r *Reading) { r.RestH, r.OnCharger, r.LoadA, r.OCV = 1, true, 2, 14 },
			[]string{RestTooShort, OnCharger, UnderLoad, SurfaceChargeSuspected}},
	} {
		t.Run(row.name, func(t *testing.T) {
			r := good
			row.change(&r)
			valid, reasons, err := Gate(r)
			if err != nil {
				t.Fatal(err)
			}
			if !slices.Equal(reasons, row.reasons) || valid != (len(row.reasons) == 0) {
				t.Errorf("got %v %v, want %v", valid, reasons, row.reasons)
			}
		})
	}
}

func TestGateRefuses(t *testing.T) {
	for _, row := range []struct {
		name string
		r    Reading
	}{
		{"unknown chemistry", Reading{Chemistry: "potato", OCV: 12, Cells: 6}},
		{"no cells", Reading{Chemistry: AGM, OCV: 12}},
		{"negative rest", Reading{Chemistry: AGM, OCV: 12, Cells: 6, RestH: -1}},
		{"voltage not a number", Reading{Chemistry: AGM, OCV: math.NaN(), Cells: 6}},
		{"current not a number", Reading{Chemistry: AGM, OCV: 12, Cells: 6, LoadA: math.Inf(1)}},
	} {
		t.Run(row.name, func(t *testing.T) {
			if _, _, err := Gate(row.r); !errors.Is(err, ErrInput) {
				t.Errorf("got %v, want ErrInput", err)
			}
		})
	}
}

func TestProvisional(t *testing.T) {
	for _, row := range []struct {
		name    string
		reasons []string
		rest    float64
		want    bool
	}{
		{"four hours", []string{RestTooShort}, 4, true},
		{"a minute less", []string{RestTooShort}, 4 - 1.0/60, false},
		{"twenty hours", []string{RestTooShort}, 20, true},
		{"valid is not provisional", nil, 30, false},
		{"also on charger", []string{RestTooShort, OnCharger}, 10, false},
		{"another reason alone", []string{UnderLoad}, 10, false},
	} {
		t.Run(row.name, func(t *testing.T) {
			if got := Provisional(row.reasons, row.rest); got != row.want {
				t.Errorf("%v after %g h: got %v, want %v", row.reasons, row.rest, got, row.want)
			}
		})
	}
}
