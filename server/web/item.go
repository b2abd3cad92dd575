package web

import (
	"cmp"
	"net/http"
	"net/url"
	"slices"

	"github.com/gin-gonic/gin"

	"tracewright/models"
	"tracewright/models/words"
	"tracewright/models/work/trace"
)

// ItemPage goes from scan to decision in five seconds: serial, the sentence
// that is the answer, five facts, the acts always in the same place. Then
// everything that is known, newest first, and the history, oldest first.
type ItemPage struct {
	Frame
	Serial  string
	Mono    bool // the name is a serial or a maker's number
	Product string
	Path    string
	Answer  string
	Band    *Band
	Facts   []Fact
	Took    string // rounds and minutes to the first pass after relief
	Others  string // page that compares it with others; "" before it left the shop
	Where   []Span // the kit it lies in, the shipment it went with
	Acts    []Act
	WhyNot  []string // why no certificate can be issued now

	Kit         bool // Built is what was packed into it
	Built       []BuiltLine
	FittedInto  []BuiltLine
	Parts       string            // page on which what is built in is changed; "" for who may not
	Gone        []string          // what was taken out, the last first
	Sources     string            // page of all levels, where a part has parts of its own
	Inspections []InspectionSheet // the newest standing one first, opened
	Build       *BuildView        // of a pack
	Holds       []HoldLine
	// Nonconformities are what did not conform about it, the newest first.
	Nonconformities []NonconformityRow
	Paper           []PaperLine
	Label           *LabelPart // nil for what has no serial of the shop
	History         []HistoryLine
	Trail           string
	Changes         string // path of those entries; empty for who may not see them
}

// Band stands under the sentence where something must not be missed.
type Band struct {
	Tone, Shape, Title, Text string
	Act, Other               *Act
}

// Fact is one of the five at a glance.
type Fact struct {
	Label string
	Value string
	Mark  Mark // instead of, or before, Value
	Lines []Span
	None  string // "none yet", in grey, where there is nothing
}

// BuiltLine says what is built in, or where it went.
type BuiltLine struct {
	Label string
	Spans []Span
}

// HoldLine is a hold and what became of it.
type HoldLine struct {
	Mark                 Mark
	Code, Reason, Raised string
	Lifted               string // how, when and by whom; empty while it stands
	Act                  *Act
}

// PaperLine is one revision of a certificate.
type PaperLine struct {
	Number, Path string
	Revision     int
	State        Mark
	Issued       string
	Note         string // why it was voided or what replaced it
	Printed      int    // times
	Print        *Act
	Original     string // path of the paper without the mark of its end; "" while in force
	Act          *Act
}

// HistoryLine is one line of the item's history.
type HistoryLine struct {
	Day, What string
	Verdict   string // between What's word and the sentence, where there is one
	Text      []Span
	Who       string
}

func (s *site) item(c *gin.Context) error { return s.itemWith(c, http.StatusOK, nil) }

// itemWith shows the page with why something asked for there was refused.
func (s *site) itemWith(c *gin.Context, status int, problem error) error {
	ctx := c.Request.Context()
	typed := c.Param("serial")
	view, err := s.services.Trace.Glance(ctx, typed, c.Query("inspection"))
	if err != nil {
		return err
	}
	// One address for one item, however its serial was typed.
	if serial := pointed(view.Item.Serial); serial != "" && serial != typed {
		path := itemPath(serial, "")
		if c.Request.URL.RawQuery != "" {
			path += "?" + c.Request.URL.RawQuery
		}
		c.Redirect(http.StatusFound, path)
		return nil
	}
	refusals, err := s.gate(c, view.Item)
	if err != nil {
		return err
	}
	page := s.itemPage(s.frame(c, words.Serial(view.Item.Name()), ""), view, refusals)
	if err := s.blockOnItem(ctx, &page, view); err != nil {
		return err
	}
	if err := s.labelOnItem(ctx, &page, view); err != nil {
		return err
	}
	if err := s.claimsOnItem(ctx, &page, view); err != nil {
		return err
	}
	if err := s.recallOnItem(ctx, &page, view); err != nil {
		return err
	}
	if err := s.kitOnItem(ctx, &page, view); err != nil {
		return err
	}
	s.nonconformitiesOnItem(&page, view)
	if page.Where, err = s.whereabouts(ctx, view.Item.ID); err != nil {
		return err
	}
	if page.Build, err = s.buildView(c, page.Frame, view.Item, page.Path, problem); err != nil {
		return err
	}
	return send(c, status, "item", page)
}

func (s *site) itemPage(frame Frame, v trace.ItemView, refusals []models.Remark) ItemPage {
	p := ItemPage{Frame: frame, Serial: words.Serial(v.Item.Name()), Mono: true, Path: itemPath(pointed(v.Item.Serial), v.Item.ID)}
	p.Product = s.itemProduct(v)
	p.Answer = s.itemAnswer(v, refusals)
	if p.Band = s.itemBand(frame, v); p.Band == nil {
		p.Band = certifiedBand(frame, p.Path, v, refusals)
	}
	p.Facts = s.itemFacts(v)
	p.Took = itemTook(v)
	p.Acts, p.WhyNot = s.itemActs(frame, p.Path, v, refusals)
	p.Built, p.FittedInto = s.builtIn(v)
	if frame.Actor.May(models.ActRecord) {
		p.Parts = p.Path + "/parts"
	}
	p.Gone = s.gone(v)
	if slices.ContainsFunc(v.Parts, func(x trace.PartView) bool { return x.Item != nil }) {
		p.Sources = p.Path + "/sources"
	}
	p.Inspections = s.inspectionSheets(frame, v)
	p.Holds = s.holdLines(frame, v)
	p.Paper = s.paperLines(frame, v)
	p.History = s.history(v)
	p.Trail = plural(v.TrailEntries, "entry", "entries") + " in the log of changes speak of this item."
	if v.TrailEntries == 1 {
		p.Trail = "1 entry in the log of changes speaks of this item."
	}
	if frame.Actor.May(models.ActManagePeople) {
		p.Changes = "/changes?about=" + url.QueryEscape(cmp.Or(pointed(v.Item.Serial), v.Item.Name()))
	}
	return p
}

// itemProduct is the line under the serial: "Quillet 26 rear, 36 spokes, made
// 16 Sep 2026".
func (s *site) itemProduct(v trace.ItemView) string {
	text := words.Sentence(english.Kind(v.Item.Kind))
	switch {
	case v.Product != nil:
		text = v.Product.Name
	case v.Family != nil:
		text = v.Family.Name + ", one of a kind"
	case v.Item.Model != "":
		text = v.Item.Supplier + " " + v.Item.Model + ", " + english.Kind(v.Item.Kind)
	}
	if v.Form != nil {
		if w := v.Form.Form.Wheel; w != nil {
			text += ", " + plural(w.Holes, "spoke", "spokes")
		}
		if b := v.Form.Form.Pack; b != nil {
			text += ", " + plural(b.Strings*b.Blocks, "block", "blocks")
		}
	}
	return text + ", " + s.made(v.Item)
}

// made says when an item was made. Of one that is older than the log only what a
// list said is known.
func (s *site) made(i models.Item) string {
	switch {
	case i.BuiltOn != "":
		return "built " + words.Date(i.BuiltOn) + ", before this log"
	case i.OlderThanLog():
		return "built before this log"
	}
	return "made " + s.day(i.CreatedAt)
}

// Newest is the inspection whose verdicts stand beside the facts; nil before
// the first.
func (p ItemPage) Newest() *InspectionSheet {
	if len(p.Inspections) == 0 || !p.Inspections[0].Open {
		return nil
	}
	return &p.Inspections[0]
}
