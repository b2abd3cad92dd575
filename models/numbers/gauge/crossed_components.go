package gauge

import "math"

// Variances are the parts of the variance of single readings in a crossed
// study.
type Variances struct {
	Repeatability, Operator, Interaction, Part float64
}

// Reproducibility is what the operators add, with what they add on some parts
// only.
func (v Variances) Reproducibility() float64 { return v.Operator + v.Interaction }

// Gauge is the variance of the gauge with the people who use it:
// repeatability and reproducibility.
func (v Variances) Gauge() float64 { return v.Repeatability + v.Reproducibility() }

// Total is the variance of single readings.
func (v Variances) Total() float64 { return v.Gauge() + v.Part }

// Components are the variance components of a crossed study by one model.
type Components struct {
	// Raw are the estimates as they came out; a negative one says that its part
	// drowns in the noise of the others. Used has 0 in place of those.
	Raw, Used Variances
}

// components estimates by mean squares: with the interaction,
//
//	repeatability = MSe                 interaction = (MSpo - MSe)/r
//	operator      = (MSo - MSpo)/(p r)  part        = (MSp - MSpo)/(o r)
//
// and pooled, where MSpool = (SSpo + SSe)/(DFpo + DFe) stands for MSe and MSpo
// both and there is no interaction.
func (s Study) components() (with, pooled Components) {
	p, o, r := float64(s.Parts), float64(s.Operators), float64(s.Trials)
	with.Raw = Variances{
		Repeatability: s.Repeatability.MS,
		Interaction:   (s.Interaction.MS - s.Repeatability.MS) / r,
		Operator:      (s.Operator.MS - s.Interaction.MS) / (p * r),
		Part:          (s.Part.MS - s.Interaction.MS) / (o * r),
	}
	pool := (s.Interaction.SS + s.Repeatability.SS) / float64(s.Interaction.DF+s.Repeatability.DF)
	pooled.Raw = Variances{Repeatability: pool, Operator: (s.Operator.MS - pool) / (p * r), Part: (s.Part.MS - pool) / (o * r)}
	with.Used, pooled.Used = with.Raw.used(), pooled.Raw.used()
	return with, pooled
}

func (v Variances) used() Variances {
	return Variances{
		Repeatability: max(v.Repeatability, 0), Operator: max(v.Operator, 0),
		Interaction: max(v.Interaction, 0), Part: max(v.Part, 0),
	}
}

// Percents are one figure a component, 100 for the total.
type Percents struct {
	Repeatability, Operator, Interaction, Part, Reproducibility, Gauge, Total float64
}

// Contribution returns each variance as a percentage of the total one; these
// add up.
func (c Components) Contribution() Percents {
	return c.percents(func(share float64) float64 { return 100 * share })
}

// StudyVariation returns each standard deviation as a percentage of the total
// one; these do not add up.
func (c Components) StudyVariation() Percents {
	return c.percents(func(share float64) float64 { return 100 * math.Sqrt(share) })
}

func (c Components) percents(of func(share float64) float64) Percents {
	total := c.Used.Total()
	part := func(v float64) float64 {
		if total == 0 {
			return 0
		}
		return of(v / total)
	}
	u := c.Used
	return Percents{
		Repeatability: part(u.Repeatability), Operator: part(u.Operator), Interaction: part(u.Interaction), Part: part(u.Part),
		Reproducibility: part(u.Reproducibility()), Gauge: part(u.Gauge()), Total: part(total),
	}
}

// Categories returns sqrt(2) part/gauge, in standard deviations: into how many
// classes this gauge can sort parts such as these. It is not known when the
// gauge shows no variance at all.
func (c Components) Categories() (categories float64, known bool) {
	categories = math.Sqrt2 * math.Sqrt(c.Used.Part) / math.Sqrt(c.Used.Gauge())
	return categories, finiteAll(categories)
}
