package web

import (
	"context"
	"fmt"
	"strings"

	"github.com/gin-gonic/gin"

	"tracewright/models"
	"tracewright/models/trade/kinds"
	"tracewright/models/words"
	"tracewright/models/work/specify"
)

// SpecificationsPage lists every specification of every family.
type SpecificationsPage struct {
	Frame
	Answer string
	Groups []SpecificationGroup
}

// SpecificationGroup is a family with its specifications.
type SpecificationGroup struct {
	Name, Path string
	Lines      []SpecificationLine
}

func (s *site) specifications(c *gin.Context) error {
	ctx := c.Request.Context()
	families, err := s.services.Specify.Families(ctx)
	if err != nil {
		return err
	}
	page := SpecificationsPage{Frame: s.frame(c, "Specifications", "/specifications"), Answer: "No specification yet"}
	inForce := 0
	for _, f := range families {
		v, err := s.services.Specify.Family(ctx, f.ID)
		if err != nil {
			return err
		}
		g := SpecificationGroup{Name: f.Name, Path: "/families/" + f.ID, Lines: s.specificationLines(v)}
		for _, l := range g.Lines {
			if l.InForce {
				inForce++
			}
		}
		page.Groups = append(page.Groups, g)
	}
	if inForce > 0 {
		page.Answer = counted(inForce, "specification is", "specifications are") + " in force"
	}
	return show(c, "specifications", page)
}

// SpecificationPage is one numbered, immutable revision: what is measured,
// which limits hold, and by which rule.
type SpecificationPage struct {
	Frame
	Of, OfPath      string
	Revision        int
	Answer          string
	Grade           string
	Rule, RuleWords string
	OwnRules        []string
	Reason          string
	Since, By       string
	Stock           bool
	InForce         bool
	Revise          string
	Characteristics []CharacteristicLine
	Ticks           []string
	Changes         []Change
	Before          string // path of the revision before
	Marked          bool   // some limit is common practice
}

// CharacteristicLine is one characteristic with its limits.
type CharacteristicLine struct {
	Name, Methods, Instrument, Units string
	Limits                           []LimitLine
}

// LimitLine is what is asked of one result.
type LimitLine struct {
	Name, Limit, Warn, U string
	Rule                 string // of its own, in words
	Budget               string // path of the budget that U was taken from
	Choose               string // path, where its uncertainty and rule are chosen
	Common               bool   // the grade's common practice, as shipped
}

func (s *site) specification(c *gin.Context) error {
	ctx := c.Request.Context()
	x, err := s.services.Specify.Specification(ctx, c.Param("id"))
	if err != nil {
		return err
	}
	family, err := s.services.Specify.Family(ctx, x.FamilyID)
	if err != nil {
		return err
	}
	people, err := s.people(ctx)
	if err != nil {
		return err
	}
	page := SpecificationPage{Frame: s.frame(c, "", "/specifications"), Of: family.Family.Name, OfPath: "/families/" + family.Family.ID, Revision: x.Revision, Grade: english.Grade(x.Grade),
		Rule: english.Rule(x.Rule), RuleWords: english.RuleInWords(x.Rule, map[string]string{"factor": words.Number(x.GuardFactor)}), Reason: x.Reason, Since: s.day(x.CreatedAt), By: name(people, x.CreatedBy), Stock: x.AppliesToStock}
	page.Revise = page.OfPath + "/specification"
	var before *models.Specification
	newest := 0
	for i, other := range family.Specifications {
		if pointed(other.ProductID) != pointed(x.ProductID) {
			continue
		}
		newest = max(newest, other.Revision)
		if other.Revision == x.Revision-1 {
			before = &family.Specifications[i]
		}
	}
	page.InForce = x.Revision == newest
	form := models.ProductForm{}
	if x.ProductID != nil {
		v, err := s.services.Specify.Product(ctx, *x.ProductID)
		if err != nil {
			return err
		}
		page.Of, page.OfPath, form = v.Product.Name, "/products/"+v.Product.ID, v.Form.Form
		page.Revise = page.OfPath + "/specification"
	}
	page.Tab = fmt.Sprintf("Specification %d of %s", x.Revision, page.Of)
	common := commonPractice(family.Family.Kind, x.Grade, form)
	page.fill(x, common)
	page.Answer = limitsAnswer(page)
	if before != nil {
		page.Changes = specificationChanges(*before, x)
		page.Before = "/specifications/" + before.ID
	}
	return show(c, "specification", page)
}

func (p *SpecificationPage) fill(x models.Specification, common map[string]models.Limit) {
	for _, ch := range x.Characteristics {
		if ch.Form != models.Measured && ch.Form != models.Counted {
			p.Ticks = append(p.Ticks, words.Sentence(english.Characteristic(ch.Code)))
			continue
		}
		line := CharacteristicLine{Name: words.Sentence(english.Characteristic(ch.Code)), Methods: named(joined(ch.Methods), english.Method), Instrument: english.Instrument(ch.Instrument)}
		for i, u := range ch.Units {
			if i > 0 {
				line.Units += ", "
			}
			line.Units += words.Unit(u)
		}
		for _, l := range ch.Results {
			limit := LimitLine{Name: english.Result(l.Result), Limit: between(l.Low, l.High, l.Unit), Common: isCommon(l, common)}
			if l.Warn != "" {
				limit.Warn = words.Quantity(l.Warn, l.Unit)
			}
			if l.U != "" {
				limit.U = words.Quantity(l.U, l.Unit)
			}
			if p.InForce && l.HasLimit() && p.Actor.May(models.ActSpecify) {
				limit.Choose = p.OfPath + "/rule?result=" + l.Result
			}
			if l.Budget != "" {
				limit.Budget = "/budgets/" + l.Budget
			}
			if l.Rule != "" {
				limit.Rule = ruleText(l.Rule, l.GuardFactor)
				code, factor := models.RuleInWords(l.Rule, l.GuardFactor)
				p.OwnRules = append(p.OwnRules, english.Say("rule_of_result", map[string]string{"name": limit.Name, "rule": english.RuleInWords(code, map[string]string{"factor": words.Number(factor)})}))
			}
			p.Marked = p.Marked || limit.Common
			line.Limits = append(line.Limits, limit)
		}
		p.Characteristics = append(p.Characteristics, line)
	}
}

// limitsAnswer counts the limits for the title.
func limitsAnswer(p SpecificationPage) string {
	limits := 0
	for _, ch := range p.Characteristics {
		for _, l := range ch.Limits {
			if l.Limit != "" {
				limits++
			}
		}
	}
	text := plural(limits, "limit", "limits") + " and " + plural(len(p.Ticks), "ticked point", "ticked points")
	if p.InForce {
		return "In force: " + text
	}
	return "Replaced: " + text
}

// commonPractice is what the shipped default asks, by result; a shop's own
// limit that says the same is still common practice.
func commonPractice(kind, grade string, form models.ProductForm) map[string]models.Limit {
	k, ok := kinds.Named(kind)
	if !ok {
		return nil
	}
	list, err := k.DefaultSpecification(grade, form)
	if err != nil {
		return nil // A grade of the shop's own has no common practice.
	}
	out := map[string]models.Limit{}
	for _, c := range list {
		for _, l := range c.Results {
			out[l.Result] = l
		}
	}
	return out
}

func isCommon(l models.Limit, common map[string]models.Limit) bool {
	d, ok := common[l.Result]
	return ok && (l.HasLimit() || l.Warn != "") && l.Low == d.Low && l.High == d.High && l.Warn == d.Warn
}

// specificationChanges lists what differs between two revisions.
func specificationChanges(before, after models.Specification) []Change {
	var out []Change
	add := func(what, from, to string) {
		if from != to {
			out = append(out, Change{what, orEmpty(from), orEmpty(to)})
		}
	}
	add("Grade", english.Grade(before.Grade), english.Grade(after.Grade))
	add("Decision rule", ruleText(before.Rule, before.GuardFactor), ruleText(after.Rule, after.GuardFactor))
	add("Applies to stock", yesNo(before.AppliesToStock), yesNo(after.AppliesToStock))
	old := map[string]models.Characteristic{}
	for _, c := range before.Characteristics {
		old[c.Code] = c
	}
	for _, c := range after.Characteristics {
		title := words.Sentence(english.Characteristic(c.Code))
		was, there := old[c.Code]
		if !there {
			out = append(out, Change{title, "not asked for", "asked for"})
		}
		delete(old, c.Code)
		if there {
			add(title+": methods", named(joined(was.Methods), english.Method), named(joined(c.Methods), english.Method))
			add(title+": sampled spokes", spokesText(was.Sample), spokesText(c.Sample))
			add(title+": hundredths on the keypad", yesNo(was.Hundredths), yesNo(c.Hundredths))
		}
		limits := map[string]models.Limit{}
		for _, l := range was.Results {
			limits[l.Result] = l
		}
		for _, l := range c.Results {
			o, result := limits[l.Result], english.Result(l.Result)
			add(result, between(o.Low, o.High, l.Unit), between(l.Low, l.High, l.Unit))
			add(result+", warning above", quantityOrNone(o.Warn, l.Unit), quantityOrNone(l.Warn, l.Unit))
			add(result+", uncertainty", quantityOrNone(o.U, l.Unit), quantityOrNone(l.U, l.Unit))
			add(result+", rule of its own", ownRule(o), ownRule(l))
		}
	}
	for _, c := range before.Characteristics {
		if _, gone := old[c.Code]; gone {
			out = append(out, Change{words.Sentence(english.Characteristic(c.Code)), "asked for", "not asked for"})
		}
	}
	return out
}

func ruleText(rule, factor string) string {
	text := english.Rule(rule)
	if factor != "" {
		text += ", guard factor " + words.Number(factor)
	}
	return text
}

// ownRule is the rule of one result, empty where it is the specification's.
func ownRule(l models.Limit) string {
	if l.Rule == "" {
		return ""
	}
	return ruleText(l.Rule, l.GuardFactor)
}

// rulesOf names the rules of a specification: the one for all, and each result
// that has its own.
func rulesOf(x models.Specification) string {
	text := english.Rule(x.Rule)
	for _, c := range x.Characteristics {
		for _, l := range c.Results {
			if l.Rule != "" {
				text += "; " + lowered(english.Result(l.Result)) + " by " + english.Rule(l.Rule)
			}
		}
	}
	return text
}

func yesNo(b bool) string {
	if b {
		return "yes"
	}
	return "no"
}

func quantityOrNone(text, unit string) string {
	if text == "" {
		return ""
	}
	return words.Quantity(text, unit)
}

func spokesText(sample []int) string {
	text := ""
	for i, j := range sample {
		if i > 0 {
			text += ", "
		}
		text += models.Spoke(j).Shown()
	}
	return text
}

func joined(codes []string) string {
	text := ""
	for i, c := range codes {
		if i > 0 {
			text += ","
		}
		text += c
	}
	return text
}

// specificationOwner is whose specification a page revises: a family's, or a
// product's, which may not have one of its own yet.
type specificationOwner struct {
	family  models.Family
	product *models.Product
	form    models.ProductForm
	inForce models.Specification
	from    int // newest revision of the owner's own, 0 for none
	path    string
	name    string
}

func (s *site) specificationOwner(ctx context.Context, c *gin.Context) (specificationOwner, error) {
	if strings.HasPrefix(c.FullPath(), "/products/") {
		v, err := s.services.Specify.Product(ctx, c.Param("id"))
		if err != nil {
			return specificationOwner{}, err
		}
		o := specificationOwner{family: v.Family, product: &v.Product, form: v.Form.Form, inForce: v.InForce, path: "/products/" + v.Product.ID, name: v.Product.Name}
		if v.Own {
			o.from = v.InForce.Revision
		}
		return o, nil
	}
	v, err := s.services.Specify.Family(ctx, c.Param("id"))
	if err != nil {
		return specificationOwner{}, err
	}
	if v.InForce.ID == "" {
		return specificationOwner{}, fmt.Errorf("specification of family %s: %w", v.Family.Name, models.ErrNotFound)
	}
	return specificationOwner{family: v.Family, inForce: v.InForce, from: v.InForce.Revision, path: "/families/" + v.Family.ID, name: v.Family.Name}, nil
}

// changeOf is the service's input for what was posted.
func (o specificationOwner) changeOf(x models.Specification, from int, reason string) specify.SpecificationChange {
	in := specify.SpecificationChange{FamilyID: o.family.ID, From: from, Grade: x.Grade, Rule: x.Rule, GuardFactor: x.GuardFactor, AppliesToStock: x.AppliesToStock, Characteristics: x.Characteristics, Reason: reason}
	if o.product != nil {
		in.ProductID = &o.product.ID
	}
	return in
}
