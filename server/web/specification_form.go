package web

import (
	"fmt"
	"net/http"
	"slices"
	"strconv"
	"strings"

	"github.com/gin-gonic/gin"

	"tracewright/models"
	"tracewright/models/numbers/conformity"
	"tracewright/models/trade/kinds"
	"tracewright/models/words"
	"tracewright/models/work/specify"
	"tracewright/server/httpx"
)

// SpecificationForm revises a specification. What changes is shown before the
// revision is made.
type SpecificationForm struct {
	Frame
	Of, Path, Back string
	From, Next     int
	Grade, Rule    Field
	Factor, Stock  Field
	Reason         Field
	Blocks         []LimitBlock
	Ticks          []Field
	Changes        []Change
	Confirming     bool
	Button         string
	Problems       Problems
}

// LimitBlock is one characteristic of the form.
type LimitBlock struct {
	Name    string
	Problem string
	Keep    Field // asked for at all
	Methods []MethodBox
	Sample  *Field // the sampled spokes, where sampling is a method
	Keypad  *Field // whole numbers on the keypad are hundredths
	Rows    []LimitRow
}

// MethodBox ticks one method that is enough for a verdict.
type MethodBox struct {
	Name, ID, Value, Text string
	On                    bool
}

// LimitRow is one result of the form.
type LimitRow struct {
	Name, Unit         string
	Low, High, Warn, U Field
	Rule               string // of its own
	Common             bool
	Problem            string
}

func (s *site) reviseSpecificationPage(c *gin.Context) error {
	return s.showSpecificationForm(c, http.StatusOK, false, nil)
}

func (s *site) showSpecificationForm(c *gin.Context, status int, confirming bool, problem error) error {
	o, err := s.specificationOwner(c.Request.Context(), c)
	if err != nil {
		return err
	}
	x, f, from := o.inForce, filled(map[string]string{}), o.from
	if c.Request.Method == http.MethodPost {
		x = postedSpecification(c, o)
		f = posted(c, o.atForm(problem, x))
		from, _ = strconv.Atoi(c.PostForm("from"))
	}
	page := SpecificationForm{Frame: s.frame(c, "Revise a specification", "/specifications"), Of: o.name, Path: o.path + "/specification", Back: "/specifications/" + o.inForce.ID, From: from, Next: from + 1, Confirming: confirming}
	page.fill(f, o, x)
	page.Changes = specificationChanges(o.inForce, x)
	page.Problems = f.summary()
	page.Button = "See what changes"
	if confirming {
		page.Button = fmt.Sprintf("Make revision %d", page.Next)
		if problem == nil && len(page.Changes) == 0 && (o.product == nil || o.from > 0) {
			page.Confirming = false
			page.Problems = Problems{Any: true, Count: "nothing was changed", Loose: []string{"Change a limit, a method or the rule first."}}
			page.Button = "See what changes"
		}
	}
	return send(c, status, "specification_form", page)
}

func (p *SpecificationForm) fill(f *form, o specificationOwner, x models.Specification) {
	kind, _ := kinds.Named(o.family.Kind)
	grades := append(slices.Clone(kind.Grades), specify.OwnGrade)
	p.Grade = f.field(Field{Name: "grade", Label: "Grade", Kind: "select", Value: x.Grade, Width: "w4", Choices: choices(grades, english.Grade), Hint: "A name for these limits; changing it changes none of them."})
	p.Rule = f.field(Field{Name: "rule", Label: "Decision rule", Kind: "select", Value: x.Rule, Width: "w4", Choices: choices([]string{string(conformity.Simple), string(conformity.Guarded)}, func(r string) string { return words.Sentence(english.Rule(r)) })})
	p.Factor = f.field(Field{Name: "guard_factor", Label: "Guard factor", Value: x.GuardFactor, Mode: "decimal", Width: "w4", Optional: true, Hint: "With guarded acceptance: how much of the uncertainty a limit moves inward."})
	stock := ""
	if x.AppliesToStock {
		stock = "yes"
	}
	p.Stock = f.field(Field{Name: "applies_to_stock", Label: "Applies to stock: what lies there already must meet it before it is released", Kind: "check", Value: stock})
	p.Reason = f.field(Field{Name: "reason", Label: "Why it is revised", Kind: "text area", Hint: "Kept with the revision."})
	common := commonPractice(o.family.Kind, x.Grade, o.form)
	// The names of the form count by what stands there to choose from, also where
	// something was left out of x.
	for i, standing := range o.standing() {
		at := fmt.Sprintf("characteristics[%d]", i)
		ch, there := x.Characteristic(standing.Code)
		if !there {
			ch = standing
		}
		if standing.Form != models.Measured && standing.Form != models.Counted {
			// A ticked point is asked for or not; nothing else can be said of it.
			tick := f.field(Field{Name: at + ".code", Kind: "check", Label: words.Sentence(english.Characteristic(standing.Code))})
			tick.Value = map[bool]string{true: "yes"}[there]
			p.Ticks = append(p.Ticks, tick)
			continue
		}
		block := LimitBlock{Name: words.Sentence(english.Characteristic(ch.Code)), Problem: f.take(at+".methods", at)}
		block.Keep = f.field(Field{Name: at + ".code", Kind: "check", Label: "Asked for"})
		block.Keep.Value = map[bool]string{true: "yes"}[there]
		for _, m := range methodsOf(o, ch.Code) {
			block.Methods = append(block.Methods, MethodBox{Name: at + ".methods", ID: fmt.Sprintf("method-%d-%s", i, m), Value: m, Text: english.Method(m), On: slices.Contains(ch.Methods, m)})
		}
		if len(ch.Sample) > 0 {
			sample := f.field(Field{Name: at + ".sample", Label: "Spokes of the sample", Value: spokesText(ch.Sample), Width: "w6", Optional: true})
			block.Sample = &sample
		}
		if ch.Form == models.Measured {
			keypad := f.field(Field{Name: at + ".hundredths", Kind: "check", Label: "Enter hundredths on the keypad: 12 is 0.12"})
			keypad.Value = map[bool]string{true: "yes"}[ch.Hundredths]
			block.Keypad = &keypad
		}
		for j, l := range ch.Results {
			name := fmt.Sprintf("%s.results[%d]", at, j)
			number := func(part, label, value string) Field {
				x := f.field(Field{Name: name + "." + part, Label: english.Result(l.Result) + ", " + label, Value: value, Mode: "decimal", Optional: true})
				x.Value = value // Also when it was emptied.
				return x
			}
			block.Rows = append(block.Rows, LimitRow{Name: english.Result(l.Result), Unit: words.Unit(l.Unit), Common: isCommon(l, common), Problem: f.take(name, name+".rule"), Rule: ownRule(l),
				Low: number("low", "at least", l.Low), High: number("high", "at most", l.High), Warn: number("warn", "warning above", l.Warn), U: number("u", "uncertainty", l.U)})
		}
		p.Blocks = append(p.Blocks, block)
	}
}

// take gives the problem of a part of the form that is no single field.
func (f *form) take(names ...string) string {
	for _, n := range names {
		if text := f.problems[n]; text != "" {
			f.shown[n] = true
			return text
		}
	}
	return ""
}

// methodsOf are the methods that the kind of item knows for a characteristic.
func methodsOf(o specificationOwner, code string) []string {
	kind, ok := kinds.Named(o.family.Kind)
	if !ok {
		return nil
	}
	list, err := kind.DefaultSpecification(kind.Grades[0], o.form)
	if err != nil {
		return nil
	}
	for _, c := range list {
		if c.Code == code {
			return c.Methods
		}
	}
	return nil
}

// postedSpecification is the specification in force with what was posted in
// its place.
func postedSpecification(c *gin.Context, o specificationOwner) models.Specification {
	text := func(name string) string { return strings.TrimSpace(c.PostForm(name)) }
	x := o.inForce
	x.Grade, x.Rule, x.GuardFactor, x.AppliesToStock = text("grade"), text("rule"), text("guard_factor"), text("applies_to_stock") != ""
	x.Characteristics = make([]models.Characteristic, 0, len(o.inForce.Characteristics))
	for i, ch := range o.standing() {
		at := fmt.Sprintf("characteristics[%d]", i)
		if text(at+".code") == "" {
			continue // Not asked for.
		}
		if ch.Form != models.Measured && ch.Form != models.Counted {
			x.Characteristics = append(x.Characteristics, ch)
			continue
		}
		ch.Methods = c.PostFormArray(at + ".methods")
		ch.Hundredths = ch.Form == models.Measured && text(at+".hundredths") != ""
		if len(ch.Sample) > 0 {
			ch.Sample = postedSpokes(text(at + ".sample"))
		}
		ch.Results = slices.Clone(ch.Results)
		for j := range ch.Results {
			name := fmt.Sprintf("%s.results[%d].", at, j)
			l := &ch.Results[j]
			l.Low, l.High, l.Warn, l.U = text(name+"low"), text(name+"high"), text(name+"warn"), text(name+"u")
			// A method that is no longer enough cannot owe a result.
			l.Required = slices.DeleteFunc(slices.Clone(l.Required), func(m string) bool { return !slices.Contains(methodsOf(o, ch.Code), m) })
		}
		x.Characteristics = append(x.Characteristics, ch)
	}
	return x
}

// postedSpokes reads "1, 5, 9" as data indices; what is no number becomes a
// place that no wheel has, so that the service names the field.
func postedSpokes(text string) []int {
	var out []int
	for _, part := range strings.FieldsFunc(text, func(r rune) bool { return r == ',' || r == ' ' || r == ';' }) {
		n, err := strconv.Atoi(part)
		if err != nil {
			n = 0
		}
		out = append(out, n-1)
	}
	return out
}

func (s *site) reviseSpecification(c *gin.Context) error {
	if c.PostForm("confirmed") == "" {
		return s.showSpecificationForm(c, http.StatusOK, true, nil)
	}
	ctx := c.Request.Context()
	o, err := s.specificationOwner(ctx, c)
	if err != nil {
		return err
	}
	from, _ := strconv.Atoi(c.PostForm("from"))
	next, err := s.services.Specify.ReviseSpecification(ctx, httpx.Actor(c), o.changeOf(postedSpecification(c, o), from, strings.TrimSpace(c.PostForm("reason"))))
	if answerable(err) {
		return s.showSpecificationForm(c, http.StatusUnprocessableEntity, true, err)
	}
	if err != nil {
		return err
	}
	return redirect(c, "/specifications/"+next.ID, "revised")
}
