package calc

import "tracewright/models/numbers/spc"

// ruleKinds are run rules and run lengths.
var ruleKinds = []Kind{
	{
		Name:    "run_rules",
		Does:    "where a series in standard deviations from its centre meets each of the named run rules",
		Source:  "Western Electric, Statistical Quality Control Handbook, 1956; Nelson 1984",
		Example: `{"z":[0.1,2.1,0.3,2.4,-0.2],"rules":["beyond_limit","two_of_three_beyond_two_sigma"]}`,
		Run:     of(runRules),
	},
	{
		Name: "run_length",
		Does: "mean points to a signal of run rules, EWMA or CUSUM, in control and shifted; limits for a budget of false alarms",
		Source: "Markov chain: Champ and Woodall 1987; integral equations: Page 1954, Crowder 1987; " +
			"head start: Lucas and Crosier 1982",
		Example: `{"chart":"individuals","rules":["beyond_limit","eight_one_side"],"shifts":[0,1]}`,
		Run:     of(runLength),
	},
}

type runRulesInput struct {
	Z     []float64 `json:"z"`
	Rules []string  `json:"rules"`
}

type runRulesAnswer struct {
	Signals map[string]ruleSignals `json:"signals"`
}

// ruleSignals are the places where one rule is met. All are the points at which
// it is, Newest those of them that count themselves, and Patterns tell which
// points make each up.
type ruleSignals struct {
	First    *int         `json:"first"` // null: nowhere.
	All      []int        `json:"all"`
	Newest   []int        `json:"all_newest_in_zone"`
	Patterns []rulePoints `json:"patterns"`
}

type rulePoints struct {
	First int      `json:"first"`
	Last  int      `json:"last"`
	Side  spc.Side `json:"side"`
}

func runRules(in runRulesInput) (runRulesAnswer, error) {
	matches, err := spc.Look(in.Rules, in.Z)
	if err != nil {
		return runRulesAnswer{}, argument("", "rules", err)
	}
	answer := runRulesAnswer{Signals: map[string]ruleSignals{}}
	for _, name := range in.Rules {
		answer.Signals[name] = ruleSignals{All: []int{}, Newest: []int{}, Patterns: []rulePoints{}}
	}
	for _, m := range matches {
		s := answer.Signals[m.Rule]
		if s.First == nil {
			s.First = &m.Last
		}
		s.All = append(s.All, m.Last)
		if m.Newest {
			s.Newest = append(s.Newest, m.Last)
			s.Patterns = append(s.Patterns, rulePoints{m.First, m.Last, m.Side})
		}
		answer.Signals[m.Rule] = s
	}
	return answer, nil
}
