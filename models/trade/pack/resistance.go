package pack

import (
	"fmt"
	"math"
)

// minVoltmeterSteps is how many steps of the voltmeter the two voltages must
// lie apart for a two-point resistance. Common practice, no source.
const minVoltmeterSteps = 20

// TwoPoint is a two-point direct-current measurement: two currents held for
// seconds, the voltage at the terminals under each. Voltmeter resolution 0
// means not stated.
type TwoPoint struct {
	I1, U1      float64 // A, V: the small current
	I2, U2      float64 // A, V: the large current
	ResolutionV float64 // V, step of the voltmeter
}

// TwoPointResult is what the two points say.
type TwoPointResult struct {
	RMohm float64 // milliohm, (U1-U2)/(I2-I1)
	IscA  float64 // A, (U1 I2 - U2 I1)/(U1-U2): extrapolated, for fuses, no rating
	U0    float64 // V, U1 + R I1 = R Isc: extrapolated voltage without load
}

// Resolve gives resistance, short-circuit current and extrapolated voltage.
// Source: the two-point method of IEC 60896-21 cl. 6.3, formula quoted from
// memory (there I1 = 4 I10 for 20 s and I2 = 20 I10 for 5 s). Charge transfer
// is included, so the figure is never compared with a 1 kHz one.
//
// I2 must be above I1 above zero, and U1 above U2 (ErrInput). A difference
// under 20 steps of the voltmeter is ErrNotMeasurable.
func (p TwoPoint) Resolve() (TwoPointResult, error) {
	err := first(positive("I1_A", p.I1), positive("U1_V", p.U1), positive("I2_A", p.I2), positive("U2_V", p.U2), hours("resolution_V", p.ResolutionV))
	switch {
	case err != nil:
		return TwoPointResult{}, err
	case p.I2 <= p.I1:
		return TwoPointResult{}, fieldf("I2_A", "must be above I1_A")
	case p.U2 >= p.U1:
		return TwoPointResult{}, fieldf("U2_V", "must be below U1_V: the voltage falls under the larger current")
	case p.U1-p.U2 < minVoltmeterSteps*p.ResolutionV-slack:
		return TwoPointResult{}, fmt.Errorf("%w: %.4g V between the two loads, at least %d steps of %g V needed", ErrNotMeasurable, p.U1-p.U2, minVoltmeterSteps, p.ResolutionV)
	}
	ohm := (p.U1 - p.U2) / (p.I2 - p.I1)
	return TwoPointResult{
		RMohm: 1000 * ohm,
		IscA:  (p.U1*p.I2 - p.U2*p.I1) / (p.U1 - p.U2),
		U0:    p.U1 + ohm*p.I1,
	}, nil
}

// currentSlack is how far, relatively, a held current may lie from the wanted
// one and still count as it: what a bench load holds. Common practice, no source.
const currentSlack = 0.05

// StandardCurrents says whether the two currents are those of IEC 60896-21
// cl. 6.3 (quoted from memory), 4 and 20 times C10/10, within 5 %. Other pairs
// at least five times apart are common practice for small blocks.
func (p TwoPoint) StandardCurrents(c10Ah float64) (bool, error) {
	if err := positive("C10_Ah", c10Ah); err != nil {
		return false, err
	}
	i10 := c10Ah / 10
	close := func(got, want float64) bool { return math.Abs(got-want) <= currentSlack*want+slack }
	return close(p.I1, 4*i10) && close(p.I2, 20*i10), nil
}

// UnitGuess says in which unit a resistance was probably typed.
type UnitGuess string

// The guesses, in the order they are tried.
const (
	UnitOK          UnitGuess = "ok"
	InOhm           UnitGuess = "entered_in_ohm"
	InMicroohm      UnitGuess = "entered_in_microohm"
	InSiemens       UnitGuess = "conductance_in_siemens"
	UnitImplausible UnitGuess = "implausible"
)

// GuessUnit compares a typed resistance with the window lowMohm to highMohm of
// its model. Within low/2 to 2 high it is taken for milliohm; otherwise the
// number is read as ohm, micro-ohm and siemens, in that order, and the first
// reading inside that range is the guess; asMohm is its value. Implausible has
// no value (known false). A guess is offered to the person, never applied.
// Source: common practice, no source.
func GuessUnit(entered, lowMohm, highMohm float64) (guess UnitGuess, asMohm float64, known bool, err error) {
	err = first(positive("entered", entered), positive("expected_low_mohm", lowMohm), positive("expected_high_mohm", highMohm))
	if err == nil && highMohm < lowMohm {
		err = fieldf("expected_high_mohm", "is below expected_low_mohm")
	}
	if err != nil {
		return "", 0, false, err
	}
	readings := []struct {
		guess UnitGuess
		mohm  float64
	}{
		{UnitOK, entered},
		{InOhm, entered * 1000},
		{InMicroohm, entered / 1000},
		{InSiemens, 1000 / entered},
	}
	for _, r := range readings {
		if r.mohm >= lowMohm/2 && r.mohm <= 2*highMohm {
			return r.guess, r.mohm, true, nil
		}
	}
	return UnitImplausible, 0, false, nil
}
