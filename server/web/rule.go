package web

import (
	"cmp"
	"fmt"
	"net/http"
	"slices"
	"strconv"
	"strings"

	"github.com/gin-gonic/gin"

	"tracewright/models"
	"tracewright/models/numbers/conformity"
	"tracewright/models/words"
	"tracewright/models/work/studies"
	"tracewright/server/httpx"
)

// RulePage chooses the uncertainty and the decision rule of one result, and shows
// what each rule costs before it is chosen.
type RulePage struct {
	Frame
	Of, Result, Limit  string
	Path, Back, Budget string
	Answer             string
	From, Next         int
	U                  Field
	FromBudget         *Field
	Rules              []RuleChoice
	Factor, Reason     Field
	Basis              []string
	Unknown            string // why there are no figures
	NotForRunout       string
	Problem            string // of the choice
	Problems           Problems
}

// RuleChoice is one rule with its costs for a thousand items.
type RuleChoice struct {
	Value, Name, Does                     string
	FalseAccepts, FalseRejects, Undecided string
	Refused                               bool
	On, Off                               bool // chosen; not to be had
}

func (s *site) rulePage(c *gin.Context) error { return s.showRule(c, http.StatusOK, nil) }

func (s *site) showRule(c *gin.Context, status int, problem error) error {
	ctx := c.Request.Context()
	o, err := s.specificationOwner(ctx, c)
	if err != nil {
		return err
	}
	result := cmp.Or(c.PostForm("result"), c.Query("result"))
	limit, _, found := o.inForce.Limit(result)
	if !found || !limit.HasLimit() {
		return fmt.Errorf("limit of %.40q: %w", result, models.ErrNotFound)
	}
	budget, err := s.services.Studies.NewestBudget(ctx, o.family.ID, result)
	if err != nil {
		return err
	}
	f := newForm(func(name string) string {
		if v, sent := c.GetPostForm(name); sent {
			return v
		}
		return map[string]string{"u": limit.U, "rule": limit.Rule, "guard_factor": limit.GuardFactor}[name]
	}, atRule(problem, o.inForce, result))
	from := o.from
	if c.Request.Method == http.MethodPost {
		from = revisionFrom(c.PostForm)
	}
	page := RulePage{Frame: s.frame(c, "Uncertainty and rule: "+lowered(english.Result(result)), "/specifications"), Of: o.name, Result: english.Result(result), Limit: between(limit.Low, limit.High, limit.Unit), Path: o.path + "/rule?result=" + result,
		Back: "/specifications/" + o.inForce.ID, From: from, Next: from + 1, Answer: "Choose its uncertainty and rule"}
	weighed := limit
	weighed.Budget = ""
	page.U = f.field(Field{Name: "u", Label: "Uncertainty, about 95\u00a0%", Mode: "decimal", Unit: words.Unit(limit.Unit), Width: "w4", Optional: true, Hint: "Typed as long as no budget stands behind it."})
	if budget != nil {
		page.Budget = "/budgets/" + budget.ID
		box := f.field(Field{Name: "from_budget", Kind: "check", Label: fmt.Sprintf("Take it from the budget, revision %d: %s", budget.Revision, words.Quantity(budget.U, budget.Unit))})
		if c.Request.Method != http.MethodPost {
			box.Value = "yes"
		}
		page.FromBudget = &box
		if box.Value != "" {
			weighed.U, weighed.Budget = budget.U, budget.ID
		}
	}
	if c.Request.Method == http.MethodPost && (page.FromBudget == nil || page.FromBudget.Value == "") {
		weighed.U = strings.ReplaceAll(strings.TrimSpace(c.PostForm("u")), ",", ".")
	}
	costs, basis, err := s.services.Studies.Costs(ctx, o.family.ID, weighed)
	if err != nil {
		return err
	}
	page.rules(o, limit, f.value("rule"), costs, basis.Known)
	page.basis(o, weighed, basis)
	page.Factor = f.field(Field{Name: "guard_factor", Label: "Guard factor", Mode: "decimal", Width: "w4", Optional: true, Hint: "How much of the uncertainty a limit moves by. Empty: 1, under ISO 14253-1 0.82. The figures above are for these."})
	page.Reason = f.field(Field{Name: "reason", Label: "Why", Kind: "text area", Hint: "Kept with the revision."})
	page.Problem = f.take("rule")
	page.Problems = f.summary()
	return send(c, status, "rule", page)
}

// doesOf says what a rule does, in a line.
var doesOf = map[string]string{
	"simple":    "Passes within the limit, fails outside.",
	"guarded":   "Passes only within the limit less the guard band, else fails.",
	"nonbinary": "Passes as under guarded acceptance, fails outside the limit; in the guard band somebody decides.",
	"iso14253":  "Passes where conformity is shown, fails where the opposite is; between them somebody decides.",
}

func (p *RulePage) rules(o specificationOwner, limit models.Limit, chosen string, costs []studies.Cost, known bool) {
	runout := strings.HasSuffix(limit.Result, "_tir")
	if runout {
		p.NotForRunout = english.Say("guarded_not_for_runout", nil)
	}
	all := conformity.Rule(o.inForce.Rule)
	rows := []RuleChoice{{Value: "", Name: "As the others: " + english.Rule(string(all)), Does: "The specification’s rule for all its results.", On: chosen == "", Off: runout && all.NeedsUncertainty()}}
	for _, rule := range conformity.Rules() {
		rows = append(rows, RuleChoice{Value: string(rule), Name: words.Sentence(english.Rule(string(rule))), Does: doesOf[string(rule)], On: chosen == string(rule), Off: runout && rule.NeedsUncertainty()})
	}
	for i := range rows {
		k := slices.IndexFunc(costs, func(c studies.Cost) bool { return c.Rule == cmp.Or(rows[i].Value, string(all)) })
		if k < 0 {
			continue
		}
		x := costs[k]
		if rows[i].Refused = x.Refused; x.Refused || !known {
			continue
		}
		rows[i].FalseAccepts, rows[i].FalseRejects, rows[i].Undecided = perThousand(x.FalseAccepts), perThousand(x.FalseRejects), perThousand(x.Undecided)
	}
	p.Rules = rows
}

// perThousand shows how many of a thousand: with a decimal below ten, and never 0
// for what is not.
func perThousand(x float64) string {
	switch {
	case x < 1e-9:
		return "0"
	case x < 0.05:
		return "under 0.1"
	case x < 9.95:
		return strconv.FormatFloat(x, 'f', 1, 64)
	}
	return strconv.FormatFloat(x, 'f', 0, 64)
}

// basis says what the costs rest on.
func (p *RulePage) basis(o specificationOwner, limit models.Limit, b studies.Basis) {
	values := "values on record"
	if b.FirstSets {
		values = "first sets after stress relief"
	}
	switch {
	case limit.U == "":
		p.Unknown = "Without an uncertainty no costs can be told: state one, or make a budget first."
		return
	case !b.Known && b.N < 10:
		p.Unknown = fmt.Sprintf("The family has %d %s of this result: from ten on the costs can be told.", b.N, values)
		return
	case !b.Known:
		p.Unknown = "Every value of this result is the same: the process shows no spread to reckon with."
		return
	}
	p.Basis = append(p.Basis, fmt.Sprintf("From the shop’s own process: %d %s of %s, mean %s, standard deviation %s, less what the gauge adds to it.", b.N, values, o.family.Name, figure(b.Mean, limit.Unit), figure(b.SD, limit.Unit)))
	if b.Few {
		p.Basis = append(p.Basis, "They are few: take the figures for a rough idea.")
	}
	shape := "The figures assume that the process is normal."
	switch {
	case b.NormalKnown && b.NormalP < 0.05:
		shape += " These values do not look so: a long tail makes the true figures differ, the small ones most."
	case b.NormalKnown:
		shape += " These values do not contradict it."
	}
	p.Basis = append(p.Basis, shape)
	if b.Swamped {
		p.Basis = append(p.Basis, "The values scatter no more than the uncertainty alone would make them: the spread of the process cannot be told from the gauge’s, and was taken as it is.")
	}
}

// atRule turns problems of one limit into those of this page's fields.
func atRule(problem error, spec models.Specification, result string) error {
	invalid, ok := problem.(*models.InvalidError)
	if !ok {
		return problem
	}
	at := ""
	for i, ch := range spec.Characteristics {
		for j, l := range ch.Results {
			if l.Result == result {
				at = fmt.Sprintf("characteristics[%d].results[%d].", i, j)
			}
		}
	}
	out := &models.InvalidError{}
	for _, p := range invalid.Problems {
		if rest, found := strings.CutPrefix(p.Field, at); found {
			p.Field = rest
		}
		out.Problems = append(out.Problems, p)
	}
	return out
}

func (s *site) setRule(c *gin.Context) error {
	ctx := c.Request.Context()
	o, err := s.specificationOwner(ctx, c)
	if err != nil {
		return err
	}
	text := func(name string) string { return strings.TrimSpace(c.PostForm(name)) }
	result := cmp.Or(text("result"), c.Query("result"))
	budget, err := s.services.Studies.NewestBudget(ctx, o.family.ID, result)
	if err != nil {
		return err
	}
	from := revisionFrom(c.PostForm)
	if text("look") != "" { // The costs for another figure, before anything is chosen.
		if from != o.from {
			return s.showRule(c, http.StatusUnprocessableEntity, models.ErrStale)
		}
		return s.showRule(c, http.StatusOK, nil)
	}
	x := o.inForce
	x.Characteristics = slices.Clone(x.Characteristics)
	for i := range x.Characteristics {
		x.Characteristics[i].Results = slices.Clone(x.Characteristics[i].Results)
		for j := range x.Characteristics[i].Results {
			if l := &x.Characteristics[i].Results[j]; l.Result == result {
				l.Rule, l.GuardFactor, l.U, l.Budget = text("rule"), text("guard_factor"), text("u"), ""
				if text("from_budget") != "" && budget != nil {
					l.U, l.Budget = "", budget.ID
				}
			}
		}
	}
	next, err := s.services.Specify.ReviseSpecification(ctx, httpx.Actor(c), o.changeOf(x, from, text("reason")))
	if answerable(err) {
		return s.showRule(c, http.StatusUnprocessableEntity, err)
	}
	if err != nil {
		return err
	}
	return redirect(c, "/specifications/"+next.ID, "rule")
}
