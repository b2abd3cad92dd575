package calc

import (
	"fmt"
	"math"

	"tracewright/models/numbers/sampling"
)

// attributeCurveKinds say what a plan by attributes does.
var attributeCurveKinds = []Kind{
	{
		Name:    "oc_point",
		Does:    "probability that a single sampling plan accepts at a fraction nonconforming",
		Source:  "binomial distribution; MIL-STD-105E (1989), table X",
		Example: `{"n":80,"ac":2,"p":0.01}`,
		Run:     of(operatingPoint),
	},
	{
		Name:    "attribute_plan_oc",
		Does:    "operating characteristic of a single sampling plan, average outgoing quality and total inspection of a lot",
		Source:  "NIST/SEMATECH e-Handbook, 6.2.3.2; binomial, hypergeometric and Poisson distributions",
		Example: `{"n":52,"c":3,"p":[0.01,0.03,0.05],"lot":10000}`,
		Run:     of(operatingCharacteristic),
	},
	{
		Name:    "double_plan_oc",
		Does:    "operating characteristic and average sample number of a double sampling plan",
		Source:  "Montgomery, Statistical Quality Control, lot-by-lot acceptance sampling for attributes",
		Example: `{"n1":50,"c1":1,"r1":4,"n2":100,"c2":3,"p":[0.01,0.05]}`,
		Run:     of(doublePlan),
	},
}

type operatingPointInput struct {
	N  int     `json:"n"`
	Ac int     `json:"ac"`
	P  float64 `json:"p"`
}

type operatingPointAnswer struct {
	Pa float64 `json:"pa"`
}

func operatingPoint(in operatingPointInput) (operatingPointAnswer, error) {
	pa, err := sampling.Single{Size: in.N, Accept: in.Ac}.Binomial(in.P)
	if err != nil {
		return operatingPointAnswer{}, argument("", "p", err, "c", "ac")
	}
	return operatingPointAnswer{pa}, nil
}

type characteristicInput struct {
	N    int       `json:"n"`
	C    int       `json:"c"`
	P    []float64 `json:"p"`
	Lot  *int      `json:"lot,omitempty"`
	Lots []struct {
		Lot        int `json:"lot"`
		Defectives int `json:"defectives"`
	} `json:"lots_for_hypergeometric,omitempty"`
}

// characteristicAnswer is a map, for the single lots bring a field a lot size:
// pa_hypergeometric_lot500 holds those of 500 in the order of the input.
type characteristicAnswer map[string]any

func operatingCharacteristic(in characteristicInput) (characteristicAnswer, error) {
	if err := checkQueries("p", len(in.P)); err != nil {
		return nil, err
	}
	if len(in.Lots) > maxQueries {
		return nil, checkQueries("lots_for_hypergeometric", len(in.Lots))
	}
	plan := sampling.Single{Size: in.N, Accept: in.C}
	answer := characteristicAnswer{}
	if err := answer.addCurves(plan, in.P); err != nil {
		return nil, err
	}
	if err := answer.addQualities(plan); err != nil {
		return nil, err
	}
	if in.Lot != nil {
		if err := answer.addLot(plan, *in.Lot, in.P); err != nil {
			return nil, err
		}
	}
	for i, lot := range in.Lots {
		pa, err := plan.Hypergeometric(lot.Lot, lot.Defectives)
		if err != nil {
			return nil, argument(fmt.Sprintf("lots_for_hypergeometric[%d].", i), "lot", err, "nonconforming", "defectives")
		}
		name := fmt.Sprintf("pa_hypergeometric_lot%d", lot.Lot)
		list, _ := answer[name].([]float64)
		answer[name] = append(list, pa)
	}
	return answer, nil
}

func (a characteristicAnswer) addCurves(plan sampling.Single, fractions []float64) error {
	binomial, poisson := make([]float64, len(fractions)), make([]float64, len(fractions))
	for i, p := range fractions {
		var err error
		if binomial[i], err = plan.Binomial(p); err != nil {
			return argumentAt(i, err)
		}
		if poisson[i], err = plan.Poisson(p); err != nil {
			return argumentAt(i, err)
		}
	}
	a["pa_binomial"], a["pa_poisson"] = binomial, poisson
	return nil
}

// addQualities adds the fractions nonconforming that are accepted with three
// probabilities; null where the plan accepts everything.
func (a characteristicAnswer) addQualities(plan sampling.Single) error {
	for name, pa := range map[string]float64{"p_at_pa_0.95": 0.95, "p_at_pa_0.50": 0.5, "p_at_pa_0.10": 0.1} {
		if plan.Accept == plan.Size {
			a[name] = nil
			continue
		}
		p, err := plan.QualityAt(pa)
		if err != nil {
			return argument("", "n", err)
		}
		a[name] = p
	}
	return nil
}

// addLot adds what depends on the size of the lot. The number of nonconforming
// pieces in it is the nearest whole one to each fraction.
func (a characteristicAnswer) addLot(plan sampling.Single, lot int, fractions []float64) error {
	exact, outgoing, inspected := make([]float64, len(fractions)), make([]float64, len(fractions)), make([]float64, len(fractions))
	pieces := make([]int, len(fractions))
	for i, p := range fractions {
		left, err := plan.Outgoing(lot, p)
		if err != nil {
			return argumentAt(i, err)
		}
		outgoing[i], inspected[i] = left.Fraction, left.Inspected
		pieces[i] = int(math.RoundToEven(p * float64(lot)))
		if exact[i], err = plan.Hypergeometric(lot, pieces[i]); err != nil {
			return argumentAt(i, err)
		}
	}
	limit, at, err := plan.OutgoingLimit(lot)
	if err != nil {
		return argument("", "lot", err)
	}
	a["pa_hypergeometric"], a["nonconforming_pieces"] = exact, pieces
	a["aoq"], a["ati"], a["aoql"], a["aoql_at_p"] = outgoing, inspected, limit, at
	return nil
}

// argumentAt names the point of a curve in the list p.
func argumentAt(i int, err error) error {
	return argument("", fmt.Sprintf("p[%d]", i), err, "p", fmt.Sprintf("p[%d]", i))
}

type doublePlanInput struct {
	N1 int       `json:"n1"`
	C1 int       `json:"c1"`
	R1 int       `json:"r1"`
	N2 int       `json:"n2"`
	C2 int       `json:"c2"`
	P  []float64 `json:"p"`
}

type doublePlanAnswer struct {
	Results []doublePlanPoint `json:"results"`
}

type doublePlanPoint struct {
	First  float64 `json:"pa_first"`
	Second float64 `json:"pa_second"`
	Pa     float64 `json:"pa"`
	ASN    float64 `json:"asn"`
}

func doublePlan(in doublePlanInput) (doublePlanAnswer, error) {
	if err := checkQueries("p", len(in.P)); err != nil {
		return doublePlanAnswer{}, err
	}
	plan := sampling.Double{
		FirstSize: in.N1, FirstAccept: in.C1, FirstReject: in.R1, SecondSize: in.N2, SecondAccept: in.C2,
	}
	var answer doublePlanAnswer
	for i, p := range in.P {
		point, err := plan.Characteristic(p)
		if err != nil {
			return doublePlanAnswer{}, argumentAt(i, err)
		}
		answer.Results = append(answer.Results, doublePlanPoint{point.First, point.Second, point.Accept, point.Average})
	}
	return answer, nil
}
