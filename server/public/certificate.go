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
	in := speech{words.In(c.Language)}
	revision := strconv.Itoa(c.Revision)
	view := &certificatePage{Number: c.Number, Revision: in.say("public.revision", "revision", revision), AsOf: c.At.Format(time.RFC3339), AsOfText: in.asOf(c), Facts: in.facts(c), Rule: in.ruleOf(c), Hash: c.Hash,
		Verdict: in.marked(c, c.Verdict, in.verdictOf(c))}
	view.State, view.Means = in.stateOf(c)
	for _, r := range c.Results {
		if r.Missing {
			view.Results = append(view.Results, line{in.words.Result(r.Code), mark{"", words.Sentence(in.say("certificate.not_measured")), "none"}})
			continue
		}
		view.Results = append(view.Results, line{in.words.Result(r.Code), in.marked(c, r.Verdict, words.Sentence(in.words.Verdict(r.Verdict)))})
	}
	return page{in: in, Shop: c.Shop, Title: in.say("certificate.title") + " " + c.Number + ", " + view.Revision, Certificate: view}
}

func (in speech) stateOf(c lookup.Certificate) (state mark, means string) {
	switch c.State {
	case models.Superseded:
		return mark{"clock", in.say("public.superseded", "revision", strconv.Itoa(c.Successor), "date", in.words.Date(c.EndedOn)), "care"}, in.say("public.superseded_means")
	case models.Void:
		return mark{"cross", in.say("public.void", "date", in.words.Date(c.EndedOn)), "fail"}, in.say("public.void_means")
	}
	return mark{"tick", in.say("public.in_force"), "pass"}, in.say("public.in_force_means")
}

// asOf says when the state was looked at, with the shop's zone beside the clock.
func (in speech) asOf(c lookup.Certificate) string {
	return in.words.Moment(c.At) + " " + c.At.Format("MST")
}

func (in speech) facts(c lookup.Certificate) []fact {
	item := in.say("public.item", "kind", words.Sentence(in.words.Kind(c.Kind)), "name", c.Product)
	return []fact{
		{in.say("certificate.serial"), ident.Print(c.Serial), true},
		{in.say("certificate.item"), item, false},
		{in.say("certificate.specification"), in.specificationOf(c.Specification), false},
		{in.say("public.inspected"), in.words.Date(c.InspectedOn), false},
		{in.say("public.issued"), in.words.Date(c.IssuedOn), false},
	}
}

func (in speech) specificationOf(s models.CertificateSpecification) string {
	code := "certificate.spec_revision"
	if s.Grade == "" || s.Grade == "own" {
		code = "certificate.spec_revision_own"
	}
	return s.Of + ", " + in.say(code, "revision", strconv.Itoa(s.Revision), "grade", in.words.Grade(s.Grade))
}

func (in speech) verdictOf(c lookup.Certificate) string {
	kind := in.words.Kind(c.Kind)
	if c.Concession != "" && (c.Verdict == models.VerdictPass || c.Verdict == models.VerdictProvisional) {
		return in.say("certificate.meets_beside", "kind", kind, "number", c.Concession)
	}
	if c.Concession != "" {
		return in.say("public.meets_conceded", "kind", kind, "number", c.Concession)
	}
	switch c.Verdict {
	case models.VerdictPass:
		if !c.Complete() {
			return in.say("certificate.meets_measured", "kind", kind)
		}
		return in.say("certificate.meets", "kind", kind)
	case models.VerdictFail:
		return in.say("public.meets_not", "kind", kind)
	case models.VerdictProvisional:
		return in.say("certificate.meets_provisional", "kind", kind)
	}
	return in.say("certificate.meets_unknown", "kind", kind)
}

// ruleOf explains the decision rule without the columns that the paper has, and
// those of results that are judged by one of their own.
func (in speech) ruleOf(c lookup.Certificate) string {
	explained := func(code, factor string) string {
		return in.say("public.rule."+code, "factor", in.words.Number(factor))
	}
	text := explained(c.Specification.RuleInWords())
	for _, r := range c.Results {
		if r.Rule != "" {
			text += " " + in.say("certificate.rule_of", "names", in.words.Result(r.Code), "rule", explained(models.RuleInWords(r.Rule, r.GuardFactor)))
		}
	}
	return text
}

// marked puts the shape and colour of a verdict beside its word. Of an item that
// failed, or a certificate that is no longer in force, nothing is green.
func (in speech) marked(c lookup.Certificate, verdict, word string) mark {
	switch verdict {
	case models.VerdictPass, models.VerdictConformity:
		if c.Verdict == models.VerdictFail || c.State != models.Issued {
			return mark{"tick", word, ""}
		}
		return mark{"tick", word, "pass"}
	case models.VerdictFail, models.VerdictConditionalFail, models.VerdictNonconformity:
		return mark{"cross", word, "fail"}
	}
	return mark{"triangle", word, "care"}
}
