package pack

import (
	"errors"
	"math"
	"testing"

	"pgregory.net/rapid"
)

// 12 V: 1.2 mV a kelvin (Bode 1977, Berndt, quoted from memory); resistance half
// a percent a kelvin (common practice).
func TestCorrectionsByHand(t *testing.T) {
	for _, row := range []struct {
		name       string
		v          float64
		cells      int
		temp, want float64
	}{
		{"10 K below: 12 mV more", 12.800, 6, 15, 12.812},
		{"10 K above: 12 mV less", 12.800, 6, 35, 12.788},
		{"at 25 nothing", 12.800, 6, 25, 12.800},
		{"6 V block, 20 K below", 6.420, 3, 5, 6.432},
		{"wrong polarity, 10 K above", -12.800, 6, 35, -12.788},
		{"dead block", 0, 6, 35, 0},
		{"within 5 K it corrects too", 12.800, 6, 22, 12.8036},
	} {
		t.Run(row.name, func(t *testing.T) {
			got, err := OCVTo25(row.v, row.cells, row.temp, OCVCoefficient)
			if err != nil {
				t.Fatal(err)
			}
			near(t, "voltage at 25 degrees", got, row.want, 1e-12)
		})
	}
	// 10 K above, a true 20 mohm reads 5 % less: 19.
	got, err := IRTo25(19, 35, IRCoefficient)
	if err != nil {
		t.Fatal(err)
	}
	near(t, "resistance at 25 degrees", got, 20, 1e-12)
}

// Correcting there and back again gives the reading.
func TestCorrectionsUndo(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		v := float64(rapid.IntRange(1000, 60000).Draw(t, "millivolts")) / 1000
		temp := float64(rapid.IntRange(-10, 45).Draw(t, "degrees"))
		cells := rapid.IntRange(1, 24).Draw(t, "cells")
		at25, err := OCVTo25(v, cells, temp, OCVCoefficient)
		if err != nil {
			t.Fatal(err)
		}
		back, err := OCVTo25(at25, cells, 50-temp, OCVCoefficient) // as far on the other side
		if err != nil {
			t.Fatal(err)
		}
		if math.Abs(back-v) > 1e-9 {
			t.Fatalf("%g V at %g degrees came back as %g", v, temp, back)
		}
		r25, err := IRTo25(v, temp, IRCoefficient)
		if err != nil {
			t.Fatal(err)
		}
		if again := r25 * (1 + IRCoefficient*(temp-25)); math.Abs(again-v) > 1e-9 {
			t.Fatalf("%g mohm at %g degrees came back as %g", v, temp, again)
		}
	})
}

func TestCorrectionsRefuse(t *testing.T) {
	nan := math.NaN()
	for _, row := range []struct {
		name string
		err  func() error
	}{
		{"voltage not a number", func() error { _, err := OCVTo25(nan, 6, 25, OCVCoefficient); return err }},
		{"no cells", func() error { _, err := OCVTo25(12, 0, 25, OCVCoefficient); return err }},
		{"77 degrees, Fahrenheit", func() error { _, err := OCVTo25(12, 6, 77, OCVCoefficient); return err }},
		{"coefficient not a number", func() error { _, err := OCVTo25(12, 6, 25, nan); return err }},
		{"negative resistance", func() error { _, err := IRTo25(-1, 25, IRCoefficient); return err }},
		{"resistance at 77 degrees", func() error { _, err := IRTo25(15, 77, IRCoefficient); return err }},
		{"coefficient that leaves nothing", func() error { _, err := IRTo25(15, 45, -0.05); return err }},
	} {
		t.Run(row.name, func(t *testing.T) {
			if err := row.err(); !errors.Is(err, ErrInput) {
				t.Errorf("got %v, want ErrInput", err)
			}
		})
	}
}
