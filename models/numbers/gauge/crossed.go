package gauge

import (
	"errors"
	"fmt"
	"math"

	"tracewright/models/numbers/stats"
)

var (
	// ErrSizesDiffer: a study in which not every operator measured every part
	// equally often, or lists that belong together and are not equally long.
	ErrSizesDiffer = errors.New("sizes differ")
	// ErrTooMuch: more numbers than an answer in reasonable time allows.
	ErrTooMuch = errors.New("too much")
)

// Readings are those of a crossed gauge study: part, operator, trial. Every
// operator measures every part equally often, without knowing which it is and
// in an order of chance; that is for the people who plan it.
type Readings [][][]float64

// Row is one source in an analysis of variance.
type Row struct {
	SS float64 // Sum of squares.
	DF int     // Degrees of freedom.
	MS float64 // Mean square, SS/DF.
}

// Study is the analysis of variance of a crossed gauge study by the two-way
// model with random parts and operators (Montgomery, Design and Analysis of
// Experiments, two-factor random model; NIST/SEMATECH e-Handbook, 2.4).
type Study struct {
	Parts, Operators, Trials int

	Part, Operator, Interaction, Repeatability, Total Row

	// F ratios. Part and operator are tested against the interaction, the
	// interaction against the repeatability. A ratio exists when the mean square
	// below it is not 0.
	FPart, FOperator    float64 // Known when FMainKnown.
	FMainKnown          bool
	FInteraction        float64 // Known, with PInteraction, when FInteractionKnown.
	PInteraction        float64 // Probability of such a ratio, or a greater one, without interaction.
	FInteractionKnown   bool
	WithInteraction     Components
	PooledNoInteraction Components
}

// PoolFrom is the probability from which on the interaction is taken for noise
// and pooled with the repeatability. Common practice.
const PoolFrom = 0.25

// Pool reports whether the interaction is better pooled: its probability lies
// above [PoolFrom], or it cannot be tested.
func (s Study) Pool() bool { return !s.FInteractionKnown || s.PInteraction > PoolFrom }

// Crossed analyses a study of at least two parts, two operators and two trials.
// With p parts, o operators and r trials, and dots for means,
//
//	SS part          = o r sum (y_i.. - y...)^2                     DF p-1
//	SS operator      = p r sum (y_.j. - y...)^2                     DF o-1
//	SS interaction   =   r sum (y_ij. - y_i.. - y_.j. + y...)^2     DF (p-1)(o-1)
//	SS repeatability =     sum (y_ijk - y_ij.)^2                    DF p o (r-1)
//
// each summed as deviations. A sum of squares that the rounding of the readings
// alone would make counts as 0.
func Crossed(y Readings) (Study, error) {
	m, err := meansOf(y)
	if err != nil {
		return Study{}, err
	}
	p, o, r := len(y), len(y[0]), len(y[0][0])
	s := Study{Parts: p, Operators: o, Trials: r}
	var part, operator, interaction, repeatability, total []float64
	for i := range y {
		part = append(part, square(m.part[i]-m.grand))
		for j := range y[i] {
			interaction = append(interaction, square(m.cell[i][j]-m.part[i]-m.operator[j]+m.grand))
			for _, v := range y[i][j] {
				repeatability = append(repeatability, square(v-m.cell[i][j]))
				total = append(total, square(v-m.grand))
			}
		}
	}
	for _, v := range m.operator {
		operator = append(operator, square(v-m.grand))
	}
	for _, row := range []struct {
		into    *Row
		squares []float64
		each    int // Readings behind one square.
		df      int
	}{
		{&s.Part, part, o * r, p - 1}, {&s.Operator, operator, p * r, o - 1}, {&s.Interaction, interaction, r, (p - 1) * (o - 1)},
		{&s.Repeatability, repeatability, 1, p * o * (r - 1)}, {&s.Total, total, 1, p*o*r - 1},
	} {
		ss := float64(row.each) * stats.Sum(row.squares)
		if err := checkFinite("readings", ss); err != nil {
			return Study{}, err
		}
		if ss <= m.rounding {
			ss = 0
		}
		*row.into = Row{SS: ss, DF: row.df, MS: ss / float64(row.df)}
	}
	if s.Total.SS == 0 {
		return Study{}, about("readings", stats.ErrNoSpread)
	}
	if err := s.test(); err != nil {
		return Study{}, err
	}
	s.WithInteraction, s.PooledNoInteraction = s.components()
	return s, nil
}

// test fills in the F ratios.
func (s *Study) test() error {
	if s.Interaction.MS > 0 {
		s.FPart, s.FOperator = s.Part.MS/s.Interaction.MS, s.Operator.MS/s.Interaction.MS
		s.FMainKnown = finiteAll(s.FPart, s.FOperator)
	}
	if s.Repeatability.MS == 0 {
		return nil
	}
	s.FInteraction = s.Interaction.MS / s.Repeatability.MS
	if s.FInteractionKnown = finiteAll(s.FInteraction); !s.FInteractionKnown {
		return nil
	}
	var err error
	s.PInteraction, err = stats.FAbove(s.FInteraction, float64(s.Interaction.DF), float64(s.Repeatability.DF))
	return about("readings", err)
}

// means of a study, cell by cell and along its margins.
type means struct {
	cell           [][]float64
	part, operator []float64
	grand          float64
	// rounding is the largest sum of squares that rounding can make.
	rounding float64
}

// meansOf checks a study and takes its means.
func meansOf(y Readings) (means, error) {
	if err := checkStudy(y); err != nil {
		return means{}, err
	}
	m := means{cell: make([][]float64, len(y)), part: make([]float64, len(y)), operator: make([]float64, len(y[0]))}
	var largest float64
	var err error
	for i := range y {
		m.cell[i] = make([]float64, len(y[i]))
		for j, trials := range y[i] {
			if m.cell[i][j], err = stats.Mean(trials); err != nil {
				return means{}, about(fmt.Sprintf("readings[%d][%d]", i, j), err)
			}
			for _, v := range trials {
				largest = max(largest, math.Abs(v))
			}
		}
		if m.part[i], err = stats.Mean(m.cell[i]); err != nil {
			return means{}, about(fmt.Sprintf("readings[%d]", i), err)
		}
	}
	for j := range m.operator {
		column := make([]float64, len(y))
		for i := range y {
			column[i] = m.cell[i][j]
		}
		if m.operator[j], err = stats.Mean(column); err != nil {
			return means{}, about("readings", err)
		}
	}
	if m.grand, err = stats.Mean(m.part); err != nil {
		return means{}, about("readings", err)
	}
	n := float64(len(y) * len(y[0]) * len(y[0][0]))
	m.rounding = n * square(4*epsilon*largest)
	return m, nil
}

// epsilon is the distance from 1 to the next double.
const epsilon = 0x1p-52

// mostReadings bounds a study; a workshop's has some hundreds.
const mostReadings = 1_000_000

// checkStudy refuses what is not a balanced study of finite readings.
func checkStudy(y Readings) error {
	if len(y) < 2 {
		return outside("readings", fmt.Sprintf("%d parts", len(y)), "are too few, a study needs 2 at least")
	}
	operators := len(y[0])
	if operators < 2 {
		return outside("readings[0]", fmt.Sprintf("%d operators", operators), "are too few, a crossed study needs 2 at least")
	}
	trials := len(y[0][0])
	if trials < 2 {
		return outside("readings[0][0]", fmt.Sprintf("%d trials", trials), "are too few, repeatability needs 2 at least")
	}
	if len(y)*operators*trials > mostReadings {
		return about("readings", fmt.Errorf("more than %d: %w", mostReadings, ErrTooMuch))
	}
	for i := range y {
		if len(y[i]) != operators {
			return about(fmt.Sprintf("readings[%d]", i), fmt.Errorf("%d operators where the first part has %d: %w", len(y[i]), operators, ErrSizesDiffer))
		}
		for j := range y[i] {
			place := fmt.Sprintf("readings[%d][%d]", i, j)
			if len(y[i][j]) != trials {
				return about(place, fmt.Errorf("%d trials where the first operator has %d: %w", len(y[i][j]), trials, ErrSizesDiffer))
			}
			for k, v := range y[i][j] {
				if err := checkFinite(fmt.Sprintf("%s[%d]", place, k), v); err != nil {
					return err
				}
			}
		}
	}
	return nil
}

func square(x float64) float64 { return x * x }

// finiteAll reports whether none of the values is NaN or infinite.
func finiteAll(values ...float64) bool { return stats.Check(values, 0) == nil }
