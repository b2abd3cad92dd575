package words

import "strings"

// The groups of names, one method each. All give the code in brackets when it
// has no words, and nothing for no code.

// Deed is the next act of something that needs attention, as its button says it.
func (c *Catalogue) Deed(code string) string { return c.named("deed.", code) }

// Attention is the kind of something that needs attention.
func (c *Catalogue) Attention(kind string) string { return c.named("attention.", kind) }

// Characteristic names a characteristic: "lateral run-out".
func (c *Catalogue) Characteristic(code string) string { return c.named("characteristic.", code) }

// Result names a result as a line of a table begins: "Lateral run-out, full
// reading".
func (c *Catalogue) Result(code string) string { return c.named("result.", code) }

// Kind names a kind of item.
func (c *Catalogue) Kind(code string) string { return c.named("kind.", code) }

// Stage names a stage of inspection: "after stress relief".
func (c *Catalogue) Stage(code string) string { return c.named("stage.", code) }

// Method names a method of reading: "every hole".
func (c *Catalogue) Method(code string) string { return c.named("method.", code) }

// Manner names the way a resistance was measured.
func (c *Catalogue) Manner(code string) string { return c.named("manner.", code) }

// Verdict is the one word for a verdict: "pass".
func (c *Catalogue) Verdict(code string) string { return c.named("verdict.", code) }

// Reason is a verdict's reason in words.
func (c *Catalogue) Reason(code string, values map[string]string) string {
	if code == "" {
		return ""
	}
	if text, ok := c.words["reason."+code]; ok {
		return fill(text, values)
	}
	return "[" + code + "]"
}

// Judged is a result as its verdict's reason tells of it: its limits, and the value as
// it is shown.
type Judged struct{ Reason, Value, Unit, Low, High, AcceptLow, AcceptHigh string }

// Because is the reason for a result's verdict in words.
func (c *Catalogue) Because(r Judged) string {
	if text := c.words["reason."+r.Reason]; !strings.Contains(text, "{") {
		return c.Reason(r.Reason, nil)
	}
	return c.Reason(r.Reason, map[string]string{"value": c.Quantity(r.Value, r.Unit), "low": c.Quantity(r.Low, r.Unit), "high": c.Quantity(r.High, r.Unit),
		"accept_low": c.Quantity(r.AcceptLow, r.Unit), "accept_high": c.Quantity(r.AcceptHigh, r.Unit)})
}

// State names the state of an item, a certificate or an instrument.
func (c *Catalogue) State(code string) string { return c.named("state.", code) }

// ClaimState says how a claim stands.
func (c *Catalogue) ClaimState(code string) string { return c.named("claim.", code) }

// Decision names that about a claim: "accepted as goodwill".
func (c *Catalogue) Decision(code string) string { return c.named("decision.", code) }

// Symptom names what a customer complains of: "a spoke broke".
func (c *Catalogue) Symptom(code string) string { return c.named("symptom.", code) }

// Question is one of a check list, whole.
func (c *Catalogue) Question(code string) string { return c.named("question.", code) }

// Change says what an entry in the log of changes tells of: "Hold lifted".
func (c *Catalogue) Change(kind string) string { return c.named("change.", kind) }

// Setting names what the shop says about itself: "the time zone".
func (c *Catalogue) Setting(name string) string { return c.named("setting.", name) }

// ChangeNote says what an entry's note adds.
func (c *Catalogue) ChangeNote(code string) string { return c.named("change_note.", code) }

// Role names what a person does in the shop.
func (c *Catalogue) Role(code string) string { return c.named("role.", code) }

// Act names something a role may do.
func (c *Catalogue) Act(code string) string { return c.named("act.", code) }

// Part names the role of a built-in part: "spokes, side A".
func (c *Catalogue) Part(code string) string { return c.named("part.", code) }

// LotState says how a lot stands, by the decision that holds.
func (c *Catalogue) LotState(decision string) string { return c.named("lot.", decision) }

// PlanKind names a way of choosing what is looked at of a lot; empty is none.
func (c *Catalogue) PlanKind(code string) string {
	if code == "" {
		code = "none"
	}
	return c.named("plan.", code)
}

// CheckVerdict names that of an incoming inspection.
func (c *Catalogue) CheckVerdict(code string) string { return c.named("check.", code) }

// GaugeCheck names what a short check of an instrument looks at.
func (c *Catalogue) GaugeCheck(what string) string { return c.named("gauge_check.", what) }

// TraceEffect says what a failed gauge means for a reading set, TraceReason why
// it cannot be told.
func (c *Catalogue) TraceEffect(effect string) string { return c.named("trace.", effect) }

// TraceReason is the reason beside TraceEffect.
func (c *Catalogue) TraceReason(code string) string { return c.named("trace_reason.", code) }

// Instrument names a kind of instrument.
func (c *Catalogue) Instrument(code string) string { return c.named("instrument.", code) }

// Defect is the short name of a defect code, or of another code a hold may be
// raised with.
func (c *Catalogue) Defect(code string) string { return c.named("defect.", code) }

// Cause names what was behind a signal of a chart.
func (c *Catalogue) Cause(code string) string { return c.named("cause.", code) }

// Fault names what failed: a defect, a result that shows none, or, empty, what is
// not coded yet. What it does not know is a name already: the shop's own.
func (c *Catalogue) Fault(code string) string {
	switch {
	case code == "":
		return c.words["defect.not_coded"]
	case c.Has("defect." + code):
		return c.words["defect."+code]
	case c.Has("result." + code):
		return c.Inside(c.words["result."+code])
	}
	return code
}

// Severity says how bad a defect is.
func (c *Catalogue) Severity(code string) string { return c.named("severity.", code) }

// Work names what a rework or a repair does to an item.
func (c *Catalogue) Work(code string) string { return c.named("work.", code) }

// Disposed names a disposition: "rework: make it conform".
func (c *Catalogue) Disposed(code string) string { return c.named("disposed.", code) }

// NonconformityStep says what became of a nonconformity.
func (c *Catalogue) NonconformityStep(what string) string { return c.named("nonconformity.", what) }

// ActionState says how a corrective action stands.
func (c *Catalogue) ActionState(code string) string { return c.named("action_state.", code) }

// SecondPerson names what another person may have to confirm.
func (c *Catalogue) SecondPerson(code string) string { return c.named("second_person.", code) }

// HoldLift says why a hold was lifted.
func (c *Catalogue) HoldLift(code string) string { return c.named("lift.", code) }

// List names a kind of list: "build records".
func (c *Catalogue) List(kind string) string { return c.named("list.", kind) }

// ListSays tells what a kind of list brings.
func (c *Catalogue) ListSays(kind string) string { return c.named("list_says.", kind) }

// Column says what may stand in a column of a kind of list.
func (c *Catalogue) Column(kind, name string) string { return c.named("column.", kind+"."+name) }

// Removal says why a part was taken out: "loses charge".
func (c *Catalogue) Removal(code string) string { return c.named("removal.", code) }

// Fate says where a part that was taken out went: "scrapped".
func (c *Catalogue) Fate(code string) string { return c.named("fate.", code) }

// Step names where work in progress stands: "laced, waiting for truing".
func (c *Catalogue) Step(code string) string { return c.named("step.", code) }

// Kinds names many items of a kind: "wheels".
func (c *Catalogue) Kinds(code string) string { return c.named("kinds.", code) }

// Response says what came of calling an item back.
func (c *Catalogue) Response(code string) string { return c.named("response.", code) }

// Limit names a limit of a block model: "Least voltage when it comes in".
func (c *Catalogue) Limit(code string) string { return c.named("limit.", code) }

// Origin says where a usual limit comes from: "common practice, no source".
func (c *Catalogue) Origin(code string) string { return c.named("origin.", code) }

// Disposition says why blocks were set aside or let go: "loses charge".
func (c *Catalogue) Disposition(code string) string { return c.named("disposition.", code) }

// Matched says why a pack of a match is as it is: "lowest left".
func (c *Catalogue) Matched(code string) string { return c.named("match.", code) }

// Grade names a grade of a specification or of a pack.
func (c *Catalogue) Grade(code string) string { return c.named("grade.", code) }

// Rule names a decision rule: "simple acceptance".
func (c *Catalogue) Rule(code string) string { return c.named("rule.", code) }

// Design names a design of a gauge study: "persons and items".
func (c *Catalogue) Design(code string) string { return c.named("design.", code) }

// Judgement answers what a study shows, as a title.
func (c *Catalogue) Judgement(code string) string { return c.named("judgement.", code) }

// Source names where a line of an uncertainty budget comes from.
func (c *Catalogue) Source(code string) string { return c.named("source.", code) }

// Shape says how the figure of a budget's line becomes a standard uncertainty.
func (c *Catalogue) Shape(code string) string { return c.named("shape.", code) }

// Studied names a figure of a study in a budget.
func (c *Catalogue) Studied(code string) string { return c.named("studied.", code) }

// RuleInWords explains a decision rule as a certificate prints it.
func (c *Catalogue) RuleInWords(code string, values map[string]string) string {
	if text, ok := c.words["rule_in_words."+code]; ok {
		return fill(text, values)
	}
	return "[" + code + "]"
}

// LabelSize names a size of labels: "62 × 29 mm".
func (c *Catalogue) LabelSize(code string) string { return c.named("label_size.", code) }

// Symbol names a code as it is printed: "QR code".
func (c *Catalogue) Symbol(code string) string { return c.named("symbol.", code) }

// Chemistry names what a block is made of.
func (c *Catalogue) Chemistry(code string) string { return c.named("chemistry.", code) }

// Caution is a sentence of warning.
func (c *Catalogue) Caution(code string) string { return c.named("caution.", code) }

// Choice names a choice or a tick: "yes", "not applicable".
func (c *Catalogue) Choice(code string) string { return c.named("choice.", code) }

// Verify says what a verification found.
func (c *Catalogue) Verify(code string, values map[string]string) string {
	return c.Say("verify."+code, values)
}
