package certificate

import (
	"slices"
	"strings"

	"tracewright/models"
	"tracewright/models/words"
	"tracewright/reports/pdf"
)

// ruleAndStatement prints the decision rule in words and what is stated.
func (s *sheet) ruleAndStatement() {
	code, factor := s.content.Specification.RuleInWords()
	rule := append([]string{s.words.RuleInWords(code, map[string]string{"factor": s.words.Number(factor)})}, s.ownRules()...)
	rule = append(rule, s.say("rule_fixed"))
	if s.hasResult("lateral_tir") || s.hasResult("radial_tir") {
		rule = append(rule, s.say("full_reading"))
	}
	s.flow(nil, append([]block{s.subhead(3, s.say("decision_rule"))}, s.text(ink, 0, left, width, strings.Join(rule, " "))...)...)
	s.flow(nil, append([]block{s.subhead(2.6, s.say("statement"))}, s.text(ink, 0, left, width, s.statement()+s.concession()+" "+s.say("statement.limits"))...)...)
}

// ownRules tells the rules of the results that are not judged by the
// specification's, each once.
func (s *sheet) ownRules() []string {
	type rule struct{ code, factor string }
	var order []rule
	under := map[rule][]models.CertificateResult{}
	for _, r := range s.content.Results {
		if r.Rule == "" {
			continue
		}
		code, factor := models.RuleInWords(r.Rule, r.GuardFactor)
		k := rule{code, factor}
		if under[k] == nil {
			order = append(order, k)
		}
		under[k] = append(under[k], r)
	}
	var texts []string
	for _, k := range order {
		texts = append(texts, s.say("rule_of", "names", s.joined(under[k]), "rule", s.words.RuleInWords(k.code, map[string]string{"factor": s.words.Number(k.factor)})))
	}
	return texts
}

func (s *sheet) hasResult(code string) bool {
	for _, r := range s.content.Results {
		if r.Code == code {
			return true
		}
	}
	return false
}

// notMet names what fails, each number with the reason in words.
func (s *sheet) notMet() string {
	var texts []string
	named := map[string]bool{}
	for _, r := range s.failed() {
		if r.Position != "" || r.Reason == "" || isCheck(r) {
			// The blocks of a pack are counted, not told one by one.
			if !named[r.Code] {
				texts = append(texts, s.joined(slices.DeleteFunc(s.failed(), func(other models.CertificateResult) bool { return other.Code != r.Code })))
				named[r.Code] = true
			}
			continue
		}
		why := s.words.Because(words.Judged{Reason: r.Reason, Value: r.Shown, Unit: r.Unit, Low: r.Low, High: r.High, AcceptLow: r.AcceptLow, AcceptHigh: r.AcceptHigh})
		texts = append(texts, s.say("not_met", "name", s.joined([]models.CertificateResult{r}), "reason", strings.TrimSuffix(why, ".")))
	}
	return strings.Join(texts, "; ")
}

// statement says what is met or not met, in one sentence.
func (s *sheet) statement() string {
	c := s.content
	met := 0
	for _, r := range s.gathered(c.Results) {
		if (r.Low != "" || r.High != "") && !r.Missing {
			met++
		}
	}
	code := "statement.incomplete"
	switch c.Verdict {
	case models.VerdictPass:
		code = "statement.pass"
		if met == 1 {
			code = "statement.pass_one"
		}
		if len(s.missing()) > 0 {
			code = "statement.pass_measured"
		}
	case models.VerdictFail:
		code = "statement.fail"
	case models.VerdictProvisional:
		code = "statement.provisional"
	}
	names := s.notMet()
	if code == "statement.pass_measured" {
		names = s.joined(s.missing())
	}
	return s.say(code, "kind", words.Sentence(s.words.Kind(c.Item.Kind)), "serial", s.serial, "date", s.words.Date(c.Inspection.MeasuredOn),
		"n", itoa(met), "revision", itoa(c.Specification.Revision), "names", names)
}

// concession says under what the item is released although it does not conform.
func (s *sheet) concession() string {
	c := s.content.Concession
	if c == nil {
		return ""
	}
	code := "statement.concession"
	if len(c.Results) == 0 {
		code = "statement.concession_beside"
	}
	return " " + s.say(code, "number", c.Number, "date", s.words.Date(c.ApprovedOn), "name", s.person(c.ApprovedBy), "reason", strings.TrimRight(c.Reason, ".!? "))
}

// people prints who measured and who released, each with function and date.
func (s *sheet) people() {
	c := s.content
	const gap = 8.0
	w := (width - gap) / 2
	measured := small.Wrap(s.say("measured_meaning", "moment", s.words.MomentAt(c.Inspection.MeasuredAt, c.Inspection.Offset)), w)
	released := small.Wrap(s.say("released_meaning", "moment", s.words.MomentAt(c.IssuedAt, c.IssuedOffset)), w)
	if c.SelfReleased {
		released = append(released, small.Wrap(s.say("self_released"), w)...)
	}
	columns := []struct {
		title, name string
		below       []string
	}{
		{s.say("measured_by"), s.person(c.MeasuredBy), measured},
		{s.say("released_by"), s.person(c.ReleasedBy), released},
	}
	height := 0.0
	for _, column := range columns {
		height = max(height, 1+small.Leading()+float64(len(inkBold.Wrap(column.name, w)))*inkBold.Leading()+float64(len(column.below))*small.Leading())
	}
	s.flow(nil, block{gap: 3.4, height: height, draw: func(y float64) {
		for i, column := range columns {
			x := left + float64(i)*(w+gap)
			s.doc.Rule(x, y, x+w, y, 0.15, pdf.Ink)
			at := y + 0.8
			s.doc.Text(x, at+small.Rise(), small, column.title, pdf.Left)
			at += small.Leading()
			at = s.doc.Lines(x, at+inkBold.Rise(), inkBold, inkBold.Wrap(column.name, w)) - inkBold.Rise()
			s.doc.Lines(x, at+small.Rise(), small, column.below)
		}
	}})
}

func (s *sheet) person(p models.CertificatePerson) string {
	if p.Name == "" {
		return s.say("not_recorded")
	}
	if p.Role == "" {
		return p.Name
	}
	return s.say("person", "name", p.Name, "role", s.words.Role(string(p.Role)))
}
