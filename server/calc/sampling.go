package calc

import (
	"fmt"
	"slices"
	"strconv"

	"tracewright/models/numbers/measure"
	"tracewright/models/numbers/sampling"
)

// samplingKinds are acceptance sampling plans.
var samplingKinds = slices.Concat(attributePlanKinds, attributeCurveKinds, variablesPlanKinds)

// attributePlanKinds find a plan by attributes, or follow the rules from lot to
// lot.
var attributePlanKinds = []Kind{
	{
		Name:    "code_letter",
		Does:    "sample size code letter of a lot at an inspection level, S1 to S4, I, II or III",
		Source:  "MIL-STD-105E (1989), table I; the same letters in ISO 2859-1",
		Example: `{"lot":1200,"level":"II"}`,
		Run:     of(codeLetter),
	},
	{
		Name:    "single_normal_plan",
		Does:    "single sampling plan for normal inspection of a code letter and AQL, arrows followed",
		Source:  "MIL-STD-105E (1989), table II-A",
		Example: `{"letter":"J","aql":"1.0"}`,
		Run:     of(singleNormalPlan),
	},
	{
		Name:    "attribute_plan_lookup",
		Does:    "normal and tightened single sampling plans of lots, levels and AQLs",
		Source:  "MIL-STD-105E (1989), tables I, II-A and II-B",
		Example: `{"queries":[{"lot":1000,"level":"II","aql":1.0}]}`,
		Run:     of(attributePlanLookup),
	},
	{
		Name:    "switching_iso2859",
		Does:    "normal, tightened, reduced or discontinued inspection after each lot, and the switching score",
		Source:  "ISO 2859-1:1999, 9.3",
		Example: `{"lots":[{"ok":true},{"ok":false},{"ok":true,"ac":2,"tighter_ok":true},{"ok":false}]}`,
		Run:     of(switching),
	},
	{
		Name:    "c0_sample_size",
		Does:    "smallest accept-on-zero sample of one lot for a probability of missing its nonconforming pieces",
		Source:  "hypergeometric distribution",
		Example: `{"lot":50,"nonconforming":5,"max_accept_probability":0.1}`,
		Run:     of(zeroSampleSize),
	},
	{
		Name:    "zero_acceptance_n",
		Does:    "the same for several lots",
		Source:  "hypergeometric distribution",
		Example: `{"queries":[{"lot":50,"defectives":1,"beta":0.1}]}`,
		Run:     of(zeroSampleSizes),
	},
	{
		Name:    "two_point_plan",
		Does:    "single sampling plan for a producer's and a consumer's risk",
		Source:  "Guenther, Journal of Quality Technology 1, 1969; binomial distribution",
		Example: `{"queries":[{"p1":0.01,"alpha":0.05,"p2":0.05,"beta":0.1}]}`,
		Run:     of(twoPointPlans),
	},
}

// maxQueries bounds lists of questions and of points, so that an answer comes
// within a second.
const maxQueries = 200

func checkQueries(field string, count int) error {
	if count < 1 || count > maxQueries {
		return &Failure{Field: field, Problem: fmt.Sprintf("must hold 1 to %d entries, not %d", maxQueries, count)}
	}
	return nil
}

type codeLetterInput struct {
	Lot   int    `json:"lot"`
	Level string `json:"level"`
}

type codeLetterAnswer struct {
	Letter sampling.Letter `json:"letter"`
}

func codeLetter(in codeLetterInput) (codeLetterAnswer, error) {
	letter, err := sampling.CodeLetter(in.Lot, sampling.Level(in.Level))
	if err != nil {
		return codeLetterAnswer{}, argument("", "lot", err)
	}
	return codeLetterAnswer{letter}, nil
}

type singlePlanInput struct {
	Letter string          `json:"letter"`
	AQL    measure.Decimal `json:"aql"`
}

type singlePlanAnswer struct {
	Letter sampling.Letter `json:"letter"`
	N      int             `json:"n"`
	Ac     int             `json:"ac"`
	Re     int             `json:"re"`
}

func singleNormalPlan(in singlePlanInput) (singlePlanAnswer, error) {
	aql, err := strconv.ParseFloat(in.AQL.String(), 64)
	if err != nil {
		return singlePlanAnswer{}, refuse("aql", err)
	}
	plan, err := sampling.Lookup(sampling.Letter(in.Letter), aql, sampling.Normal)
	if err != nil {
		return singlePlanAnswer{}, argument("", "letter", err)
	}
	return singlePlanAnswer{Letter: plan.Letter, N: plan.Size, Ac: plan.Accept, Re: plan.Reject()}, nil
}

type planLookupInput struct {
	Queries []struct {
		Lot   int     `json:"lot"`
		Level string  `json:"level"`
		AQL   float64 `json:"aql"`
	} `json:"queries"`
}

type planLookupAnswer struct {
	Normal    []tablePlan `json:"normal"`
	Tightened []tablePlan `json:"tightened"`
}

type tablePlan struct {
	CodeLetter     sampling.Letter `json:"code_letter"`
	PlanLetter     sampling.Letter `json:"plan_letter"`
	N              int             `json:"n"`
	Ac             int             `json:"ac"`
	Re             int             `json:"re"`
	HundredPercent bool            `json:"hundred_percent"` // The sample would be the whole lot.
}

func attributePlanLookup(in planLookupInput) (planLookupAnswer, error) {
	if err := checkQueries("queries", len(in.Queries)); err != nil {
		return planLookupAnswer{}, err
	}
	var answer planLookupAnswer
	for i, q := range in.Queries {
		for severity, into := range map[sampling.Severity]*[]tablePlan{
			sampling.Normal: &answer.Normal, sampling.Tightened: &answer.Tightened,
		} {
			plan, err := sampling.For(q.Lot, sampling.Level(q.Level), q.AQL, severity)
			if err != nil {
				return planLookupAnswer{}, argument(fmt.Sprintf("queries[%d].", i), "aql", err)
			}
			*into = append(*into, tablePlan{
				CodeLetter: plan.CodeLetter, PlanLetter: plan.Letter,
				N: plan.Size, Ac: plan.Accept, Re: plan.Reject(), HundredPercent: plan.InspectAll(q.Lot),
			})
		}
	}
	return answer, nil
}

type switchingInput struct {
	Lots []struct {
		OK         bool `json:"ok"`
		Ac         *int `json:"ac,omitempty"`         // 1 where it is not given.
		TighterOK  bool `json:"tighter_ok,omitempty"` // Accepted also one AQL tighter; asked where ac is 2 or more.
		Irregular  bool `json:"irregular,omitempty"`
		NotReduced bool `json:"not_reduced,omitempty"`
	} `json:"lots"`
}

type switchingAnswer struct {
	Trace  [][2]any `json:"trace"`  // Severity and score after each lot.
	Reason []string `json:"reason"` // What moved it; empty where nothing did.
}

func switching(in switchingInput) (switchingAnswer, error) {
	if len(in.Lots) == 0 {
		return switchingAnswer{}, &Failure{Field: "lots", Problem: "must hold one lot at least"}
	}
	var answer switchingAnswer
	var inspector sampling.Inspector
	for i, lot := range in.Lots {
		result := sampling.LotResult{
			Accepted: lot.OK, Accept: 1, AcceptedTighter: lot.TighterOK, Irregular: lot.Irregular, NotReduced: lot.NotReduced,
		}
		if lot.Ac != nil {
			result.Accept = *lot.Ac
		}
		standing, err := inspector.Next(result)
		if err != nil {
			return switchingAnswer{}, argument(fmt.Sprintf("lots[%d].", i), "ac", err)
		}
		answer.Trace = append(answer.Trace, [2]any{standing.Severity, standing.Score})
		answer.Reason = append(answer.Reason, standing.Why)
	}
	return answer, nil
}

type zeroInput struct {
	Lot           int     `json:"lot"`
	Nonconforming int     `json:"nonconforming"`
	Probability   float64 `json:"max_accept_probability"`
}

type zeroAnswer struct {
	N       int     `json:"n"`
	PAccept float64 `json:"p_accept"`
}

func zeroSampleSize(in zeroInput) (zeroAnswer, error) {
	plan, err := sampling.ZeroAcceptance(in.Lot, in.Nonconforming, in.Probability)
	if err != nil {
		return zeroAnswer{}, argument("", "lot", err, "risk", "max_accept_probability")
	}
	return zeroAnswer{N: plan.Size, PAccept: plan.Accepts}, nil
}

type zeroListInput struct {
	Queries []struct {
		Lot        int     `json:"lot"`
		Defectives int     `json:"defectives"`
		Beta       float64 `json:"beta"`
	} `json:"queries"`
}

type zeroListAnswer struct {
	N       []int     `json:"n"`
	PAccept []float64 `json:"p_accept"`
}

func zeroSampleSizes(in zeroListInput) (zeroListAnswer, error) {
	if err := checkQueries("queries", len(in.Queries)); err != nil {
		return zeroListAnswer{}, err
	}
	var answer zeroListAnswer
	for i, q := range in.Queries {
		plan, err := sampling.ZeroAcceptance(q.Lot, q.Defectives, q.Beta)
		if err != nil {
			return zeroListAnswer{}, argument(fmt.Sprintf("queries[%d].", i), "lot", err, "nonconforming", "defectives", "risk", "beta")
		}
		answer.N = append(answer.N, plan.Size)
		answer.PAccept = append(answer.PAccept, plan.Accepts)
	}
	return answer, nil
}

type twoPointPlansInput struct {
	Queries []struct {
		P1    float64 `json:"p1"`
		Alpha float64 `json:"alpha"`
		P2    float64 `json:"p2"`
		Beta  float64 `json:"beta"`
	} `json:"queries"`
}

type twoPointPlansAnswer struct {
	Plans []twoPointPlan `json:"plans"`
}

type twoPointPlan struct {
	N    int     `json:"n"`
	C    int     `json:"c"`
	PaP1 float64 `json:"pa_p1"`
	PaP2 float64 `json:"pa_p2"`
}

// maxDesigns is smaller than maxQueries, for each may have to try thousands.
const maxDesigns = 20

func twoPointPlans(in twoPointPlansInput) (twoPointPlansAnswer, error) {
	if len(in.Queries) < 1 || len(in.Queries) > maxDesigns {
		return twoPointPlansAnswer{}, &Failure{Field: "queries", Problem: fmt.Sprintf("must hold 1 to %d entries, not %d", maxDesigns, len(in.Queries))}
	}
	var answer twoPointPlansAnswer
	for i, q := range in.Queries {
		prefix := fmt.Sprintf("queries[%d].", i)
		plan, err := sampling.TwoPoint(sampling.Risks{Good: q.P1, Producer: q.Alpha, Bad: q.P2, Consumer: q.Beta})
		if err != nil {
			return twoPointPlansAnswer{}, argument(prefix, "p1", err)
		}
		good, err := plan.Binomial(q.P1)
		if err != nil {
			return twoPointPlansAnswer{}, argument(prefix, "p1", err)
		}
		bad, err := plan.Binomial(q.P2)
		if err != nil {
			return twoPointPlansAnswer{}, argument(prefix, "p2", err)
		}
		answer.Plans = append(answer.Plans, twoPointPlan{N: plan.Size, C: plan.Accept, PaP1: good, PaP2: bad})
	}
	return answer, nil
}
