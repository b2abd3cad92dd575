package public

import (
	"strconv"
	"time"

	"tracewright/models"
	"tracewright/models/trade/ident"
	"tracewright/models/words"
	"tracewright/models/work/lookup"
)

// certificatePage is a certificate as strangers see it.
type certificatePage struct {
	Number, Revision string
	State            mark
	Means            string
	AsOf, AsOfText   string // machine's and people's form of when the state was looked at
	Facts            []fact
	Verdict          mark
	Rule             string
	Results          []line
	Hash             string
}

// mark is a state or verdict: shape, word and colour together.
type mark struct{ Shape, Word, Tone string }

type fact struct {
	Name, Text string
	Mono       bool
}

// line is one characteristic with its verdict.
type line struct {
	Name string
	Mark mark
}

func pageOf(c lookup.Certificate) page {
	revision := strconv.Itoa(c.Revision)
	view := &certificatePage{Number: c.Number, Revision: say("public.revision", "revision", revision), AsOf: c.At.Format(time.RFC3339), AsOfText: asOf(c), Facts: facts(c), Rule: ruleOf(c), Hash: c.Hash,
		Verdict: marked(c, c.Verdict, verdictOf(c))}
	view.State, view.Means = stateOf(c)
	for _, r := range c.Results {
		if r.Missing {
			view.Results = append(view.Results, line{english.Result(r.Code), mark{"", words.Sentence(say("certificate.not_measured")), "none"}})
			continue
		}
		view.Results = append(view.Results, line{english.Result(r.Code), marked(c, r.Verdict, words.Sentence(english.Verdict(r.Verdict)))})
	}
	return page{Shop: c.Shop, Title: say("certificate.title") + " " + c.Number + ", " + view.Revision, Certificate: view}
}

func stateOf(c lookup.Certificate) (state mark, means string) {
	switch c.State {
	case models.Superseded:
		return mark{"clock", say("public.superseded", "revision", strconv.Itoa(c.Successor), "date", words.Date(c.EndedOn)), "care"}, say("public.superseded_means")
	case models.Void:
		return mark{"cross", say("public.void", "date", words.Date(c.EndedOn)), "fail"}, say("public.void_means")
	}
	return mark{"tick", say("public.in_force"), "pass"}, say("public.in_force_means")
}

// asOf says when the state was looked at, with the shop's zone beside the clock.
func asOf(c lookup.Certificate) string { return words.Moment(c.At) + " " + c.At.Format("MST") }

func facts(c lookup.Certificate) []fact {
	item := say("public.item", "kind", words.Sentence(english.Kind(c.Kind)), "name", c.Product)
	return []fact{
		{say("certificate.serial"), ident.Print(c.Serial), true},
		{say("certificate.item"), item, false},
		{say("certificate.specification"), specificationOf(c.Specification), false},
		{say("public.inspected"), words.Date(c.InspectedOn), false},
		{say("public.issued"), words.Date(c.IssuedOn), false},
	}
}

func specificationOf(s models.CertificateSpecification) string {
	code := "certificate.spec_revision"
	if s.Grade == "" || s.Grade == "own" {
		code = "certificate.spec_revision_own"
	}
	return s.Of + ", " + say(code, "revision", strconv.Itoa(s.Revision), "grade", english.Grade(s.Grade))
}

func verdictOf(c lookup.Certificate) string {
	kind := english.Kind(c.Kind)
	if c.Concession != "" {
		return say("public.meets_conceded", "kind", kind, "number", c.Concession)
	}
	switch c.Verdict {
	case models.VerdictPass:
		if !c.Complete() {
			return say("certificate.meets_measured", "kind", kind)
		}
		return say("certificate.meets", "kind", kind)
	case models.VerdictFail:
		return say("public.meets_not", "kind", kind)
	case models.VerdictProvisional:
		return say("certificate.meets_provisional", "kind", kind)
	}
	return say("certificate.meets_unknown", "kind", kind)
}

// ruleOf explains the decision rule without the columns that the paper has, and
// those of results that are judged by one of their own.
func ruleOf(c lookup.Certificate) string {
	explained := func(code, factor string) string {
		return say("public.rule."+code, "factor", words.Number(factor))
	}
	text := explained(c.Specification.RuleInWords())
	for _, r := range c.Results {
		if r.Rule != "" {
			text += " " + say("certificate.rule_of", "names", english.Result(r.Code), "rule", explained(models.RuleInWords(r.Rule, r.GuardFactor)))
		}
	}
	return text
}

// marked puts the shape and colour of a verdict beside its word. Of an item that
// failed, or a certificate that is no longer in force, nothing is green.
func marked(c lookup.Certificate, verdict, word string) mark {
	switch verdict {
	case models.VerdictPass, "conditional_pass", "conformity_verified":
		if c.Verdict == models.VerdictFail || c.State != models.Issued {
			return mark{"tick", word, ""}
		}
		return mark{"tick", word, "pass"}
	case models.VerdictFail, "conditional_fail", "nonconformity_verified":
		return mark{"cross", word, "fail"}
	}
	return mark{"triangle", word, "care"}
}
