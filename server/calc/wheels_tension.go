package calc

import (
	"errors"

	"tracewright/models/numbers/measure"
	"tracewright/models/trade/wheel"
)

// wheelTensionKinds turn what a gauge or an ear says into tensions.
var wheelTensionKinds = []Kind{
	{
		Name:    "tension_table",
		Does:    "tensions of gauge readings by the table of one gauge and spoke type; null outside the table",
		Source:  "monotone cubic: Fritsch and Carlson 1980, slopes of Fritsch and Butland 1984; no extrapolation",
		Example: `{"reading":[12,15,18,20,22,24],"tension":[420,610,830,1000,1195,1420],"query":[11.9,16.4,20],"tension_unit":"N"}`,
		Run:     of(tensionTable),
	},
	{
		Name:    "pitch_to_tension",
		Does:    "what the pitch of a plucked spoke can mean; the truth lies between hinged and clamped ends, so use it for evenness only",
		Source:  "string, and Euler-Bernoulli beam under tension, textbook",
		Example: `{"free_length_m":0.2,"segments_m":[[0.2,0.0023]],"frequency_hz":480,"E_Pa":2e11,"density":7850}`,
		Run:     of(pitchToTension),
	},
}

type tableInput struct {
	Reading []float64    `json:"reading"`
	Tension []float64    `json:"tension"`
	Query   []float64    `json:"query"`
	Unit    measure.Unit `json:"tension_unit"`
}

type tableAnswer struct {
	Tension []*float64 `json:"tension"` // in the unit of the table; null out of the table
}

func tensionTable(in tableInput) (tableAnswer, error) {
	if len(in.Reading) != len(in.Tension) {
		return tableAnswer{}, &Failure{Field: "tension", Problem: "must have one value for each reading"}
	}
	if !measure.Convertible(in.Unit, measure.Newton) {
		return tableAnswer{}, &Failure{Field: "tension_unit", Problem: "is no unit of force"}
	}
	// The curve bends alike in every unit of force, so that nothing is converted.
	points := make([]wheel.TablePoint, len(in.Reading))
	for i := range points {
		points[i] = wheel.TablePoint{Reading: in.Reading[i], TensionN: in.Tension[i]}
	}
	table, err := wheel.NewGaugeTable("", "", points)
	if err != nil {
		return tableAnswer{}, blame("tension", err)
	}
	answer := tableAnswer{Tension: make([]*float64, len(in.Query))}
	for i, q := range in.Query {
		t, err := table.Tension(q)
		if errors.Is(err, wheel.ErrOutOfTable) {
			continue
		}
		if err != nil {
			return tableAnswer{}, blame("query", err)
		}
		answer.Tension[i] = &t
	}
	return answer, nil
}

type pitchInput struct {
	FreeLength float64      `json:"free_length_m"`
	Segments   [][2]float64 `json:"segments_m"` // length and diameter, from end to end
	Frequency  float64      `json:"frequency_hz"`
	E          float64      `json:"E_Pa"`
	Density    float64      `json:"density"`
}

type pitchAnswer struct {
	Mass    float64  `json:"mu_eff_kg_per_m"`
	EI      float64  `json:"EI_eff_N_m2"`
	String  float64  `json:"tension_string_N"`
	Hinged  float64  `json:"tension_pinned_N"`
	Clamped *float64 `json:"tension_clamped_N"` // null: a clamped wire is as high without tension
	Use     string   `json:"use"`
}

// evennessOnly is said with every tension by pitch.
const evennessOnly = "relative evenness of equal spokes of one side only; the tension itself is uncertain by a factor of up to two"

func pitchToTension(in pitchInput) (pitchAnswer, error) {
	p := wheel.Plucked{FreeLengthM: in.FreeLength, E: in.E, Density: in.Density}
	for _, s := range in.Segments {
		p.Stretches = append(p.Stretches, wheel.PluckedStretch{LengthM: s[0], DiameterM: s[1]})
	}
	t, err := p.Tension(in.Frequency)
	if err != nil {
		return pitchAnswer{}, blame("frequency_hz", err)
	}
	answer := pitchAnswer{Mass: t.MassPerM, EI: t.EI, String: t.StringN, Hinged: t.HingedN, Use: evennessOnly}
	if t.ClampedKnown {
		answer.Clamped = &t.ClampedN
	}
	return answer, nil
}
