package capture

import (
	"fmt"
	"slices"
	"strings"

	"tracewright/models"
	"tracewright/models/numbers/conformity"
	"tracewright/models/numbers/measure"
	"tracewright/models/trade/kinds"
)

// judgement is what the readings of one inspection come to.
type judgement struct {
	results []models.Result
	remarks []models.Remark
	verdict string
}

// judge compares every value with its limit by the one rule of its result and
// adds them up: any fail fails; a required result that is not there makes the
// inspection incomplete, and so does one in a guard band where its rule says
// neither yes nor no; readings that the limits are not meant for are kept and
// leave it incomplete, and so are those of a gauge that is out of use and
// those that lie beyond its table; a short rest makes a pass provisional.
func judge(spec models.Specification, sets []parsed, reduction kinds.Reduction) (judgement, error) {
	out := judgement{results: make([]models.Result, 0, len(reduction.Values)), remarks: slices.Clone(reduction.Remarks), verdict: models.VerdictPass}
	untrusted, unread := readUntrusted(sets), slices.ContainsFunc(sets, func(p parsed) bool { return p.unread })
	for _, v := range reduction.Values {
		limit, characteristic, known := spec.Limit(v.Code)
		trusted := !untrusted[characteristic.Code]
		r, err := judgeValue(v, limit, known && trusted && !reduction.Unjudged, spec)
		if err != nil {
			return judgement{}, err
		}
		if known && !trusted && v.Answer == "" {
			r.Reason = "instrument_not_trusted"
		}
		if known && trusted && limit.Warn != "" {
			warned, err := above(v.Value, limit.Warn)
			if err != nil {
				return judgement{}, fmt.Errorf("warning of %s: %w", v.Code, err)
			}
			if warned {
				out.remarks = append(out.remarks, models.NewRemark("above_warning", "result", v.Code, "value", v.Value.String(), "warn", limit.Warn, "unit", limit.Unit))
			}
		}
		out.results = append(out.results, r)
	}
	slices.SortFunc(out.results, func(a, b models.Result) int {
		if c := strings.Compare(a.Code, b.Code); c != 0 {
			return c
		}
		return strings.Compare(a.Position, b.Position)
	})
	missing := missingResults(spec, sets, reduction.Values)
	out.remarks = append(out.remarks, missing...)
	worst := models.WorstVerdict(out.results)
	switch {
	case models.Failed(worst):
		out.verdict = models.VerdictFail
	case models.Undecided(worst) || unread || reduction.Unjudged || len(missing) > 0 || len(untrusted) > 0:
		out.verdict = models.VerdictIncomplete
	case reduction.Provisional:
		out.verdict = models.VerdictProvisional
	}
	return out, nil
}

// readUntrusted are the characteristics that were read with an instrument whose
// readings nobody may judge by.
func readUntrusted(sets []parsed) map[string]bool {
	codes := map[string]bool{}
	for _, p := range sets {
		if hasRemark(p.remarks, "instrument_out") || hasRemark(p.remarks, "overdue_blocked") {
			codes[p.sent.Characteristic] = true
		}
	}
	return codes
}

func judgeValue(v kinds.Value, limit models.Limit, judged bool, spec models.Specification) (models.Result, error) {
	r := models.Result{Code: v.Code, Position: v.Position, Unit: string(v.Unit), Method: v.Method, Readings: v.Readings, Detail: v.Detail, Verdict: models.VerdictNone}
	if v.Answer != "" {
		r.Value, r.Verdict, r.Reason = v.Answer, models.VerdictPass, "ticked_"+v.Answer
		if v.Answer == "no" {
			r.Verdict = models.VerdictFail
		}
		return r, nil
	}
	r.Value = v.Value.String()
	f := v.Value.Float()
	r.ValueF = &f
	if !judged {
		return r, nil
	}
	r.U = limit.U
	if !limit.HasLimit() {
		return r, nil
	}
	rule, guardFactor := spec.RuleOf(limit)
	question := conformity.Question{Value: v.Value, Rule: conformity.Rule(rule)}
	for _, part := range []struct {
		text string
		into **measure.Decimal
	}{{limit.Low, &question.Limits.Low}, {limit.High, &question.Limits.High}, {limit.U, &question.U}} {
		if part.text == "" {
			continue
		}
		d, err := measure.Parse(part.text)
		if err != nil {
			return r, fmt.Errorf("limit of %s: %w", v.Code, err)
		}
		*part.into = &d
	}
	if guardFactor != "" {
		factor, err := measure.Parse(guardFactor)
		if err != nil {
			return r, fmt.Errorf("guard factor of %s: %w", v.Code, err)
		}
		question.R = factor
	}
	answer, err := conformity.Judge(question)
	if err != nil {
		return r, fmt.Errorf("judge %s: %w", v.Code, err)
	}
	r.Low, r.High, r.Reason = limit.Low, limit.High, answer.Reason
	r.Verdict = string(answer.Outcome)
	if answer.Outcome == conformity.Refused {
		r.Verdict = models.VerdictFail // No value could pass.
	}
	if question.Rule != conformity.Simple {
		r.AcceptLow, r.AcceptHigh = text(answer.AcceptLow), text(answer.AcceptHigh)
	}
	return r, nil
}

// missingResults says which required results are not there. A characteristic
// that was read by one of its methods owes what that method can give; one that
// was not read at all is missing as a whole.
func missingResults(spec models.Specification, sets []parsed, values []kinds.Value) []models.Remark {
	have := map[string]bool{}
	for _, v := range values {
		have[v.Code] = true
	}
	var missing []models.Remark
	for _, c := range spec.Characteristics {
		methods := methodsRead(c.Code, sets)
		for _, l := range c.Results {
			if len(l.Required) == 0 || have[l.Result] {
				continue
			}
			switch {
			case len(methods) == 0:
				missing = append(missing, models.NewRemark("not_measured", "characteristic", c.Code))
			case slices.ContainsFunc(l.Required, func(m string) bool { return slices.Contains(methods, m) }):
				missing = append(missing, models.NewRemark("result_missing", "result", l.Result))
			}
			if len(methods) == 0 {
				break // once a characteristic
			}
		}
	}
	return missing
}

func methodsRead(code string, sets []parsed) []string {
	var methods []string
	for _, p := range sets {
		if p.sent.Characteristic == code {
			methods = append(methods, p.sent.Method)
		}
	}
	return methods
}

func above(value measure.Decimal, limit string) (bool, error) {
	d, err := measure.Parse(limit)
	if err != nil {
		return false, err
	}
	return value.Cmp(d) > 0, nil
}

func text(d *measure.Decimal) string {
	if d == nil {
		return ""
	}
	return d.String()
}
