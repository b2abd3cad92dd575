package gauge

import (
	"fmt"
	"math"
)

// Shape says how the figure of a component becomes a standard uncertainty.
type Shape string

// The shapes, with a the figure given (JCGM 100:2008, 4.2 and 4.3).
const (
	Stated      Shape = "stated"      // An uncertainty with its coverage factor: u = a/k.
	Repeats     Shape = "repeats"     // Type A, a is the s of single readings: u = a/sqrt(n), n-1 degrees of freedom.
	Resolution  Shape = "resolution"  // A digital step a, half of it either way: u = a/sqrt(12).
	Rectangular Shape = "rectangular" // Limits -+a, all between alike: u = a/sqrt(3).
	Triangular  Shape = "triangular"  // Limits -+a, the middle likelier: u = a/sqrt(6).
	UShaped     Shape = "u_shaped"    // Limits -+a, the ends likelier, as of a swinging temperature: u = a/sqrt(2).
)

// Component is one line of an uncertainty budget.
type Component struct {
	Name  string
	Shape Shape
	Value float64 // The figure that Shape explains, in the unit of its input.
	K     float64 // Coverage factor of a stated uncertainty; 0 counts as 1.
	N     int     // Number of repeats that are averaged, for Repeats.
	// Sensitivity is the change of the result per change of the input, 0 counts
	// as 1. Its sign does not matter.
	Sensitivity float64
	// DoF are the degrees of freedom of the figure, 0 where it is known exactly
	// (infinitely many). Repeats have N-1 of their own; one that rests on an s
	// pooled from earlier work states those of the pool, and N may then be 1.
	DoF float64
}

// Contribution is what a component comes to in the unit of the result.
type Contribution struct {
	Name  string
	U     float64 // |sensitivity| times the standard uncertainty of the input.
	Share float64 // Its part in the combined variance, from 0 to 1.
	DoF   float64 // 0 for infinitely many.
}

// Budget is a combined uncertainty and how it came about.
type Budget struct {
	Contributions []Contribution
	Combined      float64 // uc, the combined standard uncertainty.
	// Effective degrees of freedom and their floor, which K rests on. Both are
	// 0 and Infinite is set when no component with a finite number counts.
	DoF, DoFUsed float64
	Infinite     bool
	K            float64 // Coverage factor.
	Expanded     float64 // K uc.
}

// Combine makes the budget of independent components:
//
//	uc^2 = sum (c_i u_i)^2
//	nu_eff = uc^4 / sum ((c_i u_i)^4 / nu_i), Welch-Satterthwaite
//	U = k uc with k = t((1+p)/2, floor(nu_eff))
//
// (JCGM 100:2008, 5.1.2, G.4.1 and G.6.4; the floor as G.4.1, note 1 allows).
// Coverage p lies between 0 and 1.
//
// It takes components as independent; correlated ones have to be joined into
// one before. Repeats and Resolution both stand in a budget where the step is
// coarse against the scatter: repeats that never differ say nothing of the half
// step that hides behind them.
func Combine(components []Component, coverage float64) (Budget, error) {
	if err := checkBetween("coverage", coverage, 0, 1); err != nil {
		return Budget{}, err
	}
	if len(components) == 0 {
		return Budget{}, outside("components", "an empty budget", "needs at least one")
	}
	b := Budget{Contributions: make([]Contribution, len(components))}
	for i, c := range components {
		u, err := c.standard()
		if err != nil {
			return Budget{}, at(fmt.Sprintf("components[%d]", i), err)
		}
		b.Contributions[i] = Contribution{Name: c.Name, U: u, DoF: c.degrees()}
		b.Combined = math.Hypot(b.Combined, u)
	}
	if err := checkFinite("components", b.Combined); err != nil {
		return Budget{}, err
	}
	if b.Combined == 0 {
		return Budget{}, outside("components", "a combined uncertainty of 0", "leaves nothing to expand")
	}
	b.weigh()
	nu := math.Inf(1)
	if !b.Infinite {
		if nu = b.DoFUsed; nu < 1 {
			return Budget{}, outside("components", fmt.Sprintf("%.3g effective degrees of freedom", b.DoF), "must be at least 1")
		}
	}
	var err error
	if b.K, err = Coverage(coverage, nu); err != nil {
		return Budget{}, err
	}
	b.Expanded = b.K * b.Combined
	return b, checkFinite("coverage", b.Expanded)
}

// weigh fills in the shares and the effective degrees of freedom.
func (b *Budget) weigh() {
	var inverse float64 // 1/nu_eff, by shares so that no fourth power overflows.
	for i := range b.Contributions {
		c := &b.Contributions[i]
		ratio := c.U / b.Combined
		c.Share = ratio * ratio
		if c.DoF > 0 {
			inverse += c.Share * c.Share / c.DoF
		}
	}
	b.DoF = 1 / inverse
	if inverse == 0 || math.IsInf(b.DoF, 0) {
		b.DoF, b.Infinite = 0, true
		return
	}
	// A whole number that rounding left a hair short is still that number.
	b.DoFUsed = math.Floor(b.DoF * (1 + 1e-12))
}

// standard returns |c| u of a component.
func (c Component) standard() (float64, error) {
	if err := c.check(); err != nil {
		return 0, err
	}
	var divisor float64
	switch c.Shape {
	case Stated:
		if divisor = c.K; divisor == 0 {
			divisor = 1
		}
	case Repeats:
		divisor = math.Sqrt(float64(c.N))
	case Resolution:
		divisor = math.Sqrt(12)
	case Rectangular:
		divisor = math.Sqrt(3)
	case Triangular:
		divisor = math.Sqrt(6)
	case UShaped:
		divisor = math.Sqrt2
	default:
		return 0, outside("shape", fmt.Sprintf("%.40q", string(c.Shape)), "is not a shape of a budget")
	}
	sensitivity := math.Abs(c.Sensitivity)
	if sensitivity == 0 {
		sensitivity = 1
	}
	u := sensitivity * (c.Value / divisor)
	return u, checkFinite("value", u)
}

func (c Component) check() error {
	err := checkAll(checkNotNegative("value", c.Value), checkNotNegative("k", c.K), checkFinite("sensitivity", c.Sensitivity), checkNotNegative("dof", c.DoF))
	switch {
	case err != nil:
		return err
	case c.Shape != Repeats && c.N != 0:
		return outside("n", c.N, "belongs to repeats only")
	case c.Shape != Stated && c.K != 0:
		return outside("k", c.K, "belongs to a stated uncertainty only")
	case c.Shape == Repeats && c.N < 1:
		return outside("n", c.N, "must be at least 1")
	case c.Shape == Repeats && c.N == 1 && c.DoF == 0:
		return outside("n", c.N, "reading has no spread of its own; state the degrees of freedom of a pooled one")
	}
	return nil
}

// degrees returns the degrees of freedom, 0 for infinitely many.
func (c Component) degrees() float64 {
	if c.Shape == Repeats && c.DoF == 0 {
		return float64(c.N - 1)
	}
	return c.DoF
}
