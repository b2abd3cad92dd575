package web

import (
	"fmt"

	"github.com/gin-gonic/gin"

	"tracewright/models"
	"tracewright/models/words"
	"tracewright/models/work/receive"
	"tracewright/models/work/trace"
)

// LotPage is the whole story of a lot.
type LotPage struct {
	Frame
	Code, What string
	Answer     string
	Acts       []Act
	Facts      []LotFact
	Bands      []LotBand

	None   string     // where nothing was looked at
	Found  []FoundRow // incoming inspections, the newest first
	Decide []Act
	Events []EventRow // what was decided, scrapped, counted, explained, mixed; the newest first

	Papers   []PaperRow
	AddPaper string
	Sum      []LotFact
	Balance  []Act

	Rows   []UseRow
	Inside bool   // some of them are built into something in their turn
	Rest   string // what is not shown
	Loops  []string
}

// LotFact is a figure with its name.
type LotFact struct {
	Label, Value string
	Mark         Mark
	Total        bool
}

// LotBand is what must be seen first, with what can be done.
type LotBand struct {
	Tone, Shape, Title string
	Lines              []string
	Act                *Act
}

func (s *site) lot(c *gin.Context) error {
	ctx := c.Request.Context()
	story, err := s.services.Receive.Story(ctx, c.Param("code"))
	if err != nil {
		return err
	}
	uses, err := s.services.Trace.UsesOfLot(ctx, story.Lot.Code)
	if err != nil {
		return err
	}
	held, err := s.services.Monitor.HeldLots(ctx)
	if err != nil {
		return err
	}
	papers, err := s.services.Documents.Of(ctx, models.SubjectLot, story.Lot.ID)
	if err != nil {
		return err
	}
	var checks []string
	for _, check := range story.Checks {
		checks = append(checks, check.ID)
	}
	photos, err := s.services.Documents.Of(ctx, models.SubjectLotCheck, checks...)
	if err != nil {
		return err
	}
	return show(c, "lot", s.lotPage(s.frame(c, "Lot "+story.Lot.Code, "/lots"), story, uses, held[story.Lot.ID], papers, photos))
}

func (s *site) lotPage(frame Frame, story receive.Story, uses trace.Uses, held bool, papers, photos []models.AttachmentView) LotPage {
	lot, path, people := story.Lot, lotPath(story.Lot.Code), uses.People
	p := LotPage{Frame: frame, Code: lot.Code, What: words.Sentence(story.Material.Name), AddPaper: path + "/papers"}
	for _, more := range []string{lot.Description, lot.Supplier} {
		if more != "" {
			p.What += ", " + more
		}
	}
	p.None = "Nothing was looked at when it came."
	if story.Look != nil {
		p.None = "Nothing was looked at yet."
	}
	if story.Bin() {
		p.What += ", a bin of several lots"
		p.None = "A bin is looked at by its lots."
	}
	released, shipped := s.lotUses(&p, uses)
	p.Answer = lotStands(story, held, len(uses.Rows), released, shipped)
	p.Papers = s.paperRows(papers, "", people)
	s.lotFacts(&p, story, held)
	s.lotBands(&p, story, uses.Rows, people)
	for i := len(story.Checks) - 1; i >= 0; i-- {
		p.Found = append(p.Found, s.foundRow(story.Checks[i], photos, people))
	}
	p.Events = s.lotEvents(story, people)
	lotSum(&p, story)
	storyActs(&p, story, path)
	return p
}

// lotStands is the sentence over everything: what stops the lot, then how many
// hold it.
func lotStands(story receive.Story, held bool, holders, released, shipped int) string {
	uses := "Nothing of this lot is built in"
	if holders > 0 {
		uses = counted(holders, "item holds it", "items hold it") + ", " + pieces(released) + " released and here, " + pieces(shipped) + " shipped"
	}
	switch d := story.Decision; {
	case d != nil && d.Decision == models.LotQuarantine:
		return "In quarantine. " + uses
	case d != nil && d.Decision == models.LotReturn:
		return "Sent back. " + uses
	case len(story.Stops) > 0:
		return "A lot in it is set aside. " + uses
	case held:
		return "On hold. " + uses
	}
	return uses
}

func (s *site) lotFacts(p *LotPage, story receive.Story, held bool) {
	lot := story.Lot
	fact := func(label, value string) {
		if value != "" {
			p.Facts = append(p.Facts, LotFact{Label: label, Value: value})
		}
	}
	p.Facts = append(p.Facts, LotFact{Label: "State", Mark: lotState(story.Decision, held, story.Balance != nil && story.Balance.Expected == 0, story.Look != nil)})
	fact("Received", s.day(lot.ReceivedAt))
	if n := story.Totals.Came(lot); n > 0 {
		fact(words.Sentence(story.Material.Unit), pieces(n))
	}
	fact("Built in", pieces(story.Totals.BuiltIn))
	if b := story.Balance; b != nil && b.Beyond > 0 {
		fact("More than came", pieces(b.Beyond))
	} else if b != nil {
		fact("Left", pieces(b.Expected))
	}
	fact("Supplier’s lot", lot.SupplierCode)
	fact("Date code", lot.DateCode)
}

// lotBands say what stops a lot and what does not add up, each with the next act.
func (s *site) lotBands(p *LotPage, story receive.Story, uses []trace.Use, people map[string]string) {
	path := lotPath(p.Code)
	if d := story.Decision; d != nil && d.Stops() {
		band := LotBand{Tone: "hold", Shape: "bars", Title: words.Sentence(english.LotState(d.Decision)) + " since " + s.day(d.DecidedAt) + ", by " + name(people, d.DecidedBy)}
		switch {
		case d.Decision == models.LotReturn:
			band.Lines = append(band.Lines, stopped(d.Reason)+" What is left of it is fitted nowhere until somebody decides about that.")
		case d.CheckID != nil:
			band.Lines = append(band.Lines, "The incoming inspection did not pass. No piece is fitted, and nothing that holds one is certified, until somebody decides.")
		default:
			band.Lines = append(band.Lines, stopped(d.Reason)+" No piece is fitted, and nothing that holds one is certified, until somebody decides.")
		}
		p.Bands = append(p.Bands, band)
	}
	for _, stop := range story.Stops {
		if stop.Code != p.Code {
			p.Bands = append(p.Bands, LotBand{Tone: "hold", Shape: "bars", Title: "It possibly holds pieces of lot " + stop.Code, Lines: []string{"That lot is " + english.LotState(stop.Decision) + ", so that no piece of this one is fitted."},
				Act: &Act{Text: "Open lot " + stop.Code, Path: lotPath(stop.Code)}})
		}
	}
	if look := story.Look; look != nil {
		p.Bands = append(p.Bands, LotBand{Tone: "care", Shape: "triangle", Title: words.Sentence(lookSays(*look)), Lines: []string{"Its material asks for it. Until then nobody knows that it is good, and nothing stops it from being built in."},
			Act: p.allowed(models.ActReceive, Act{Text: "Inspect", Path: path + "/inspect", First: true})})
	}
	b, explain := story.Balance, Act{Text: "Explain", Path: path + "/explain", First: story.Look == nil && (story.Decision == nil || !story.Decision.Stops())}
	if b == nil {
		return
	}
	if b.Unexplained > 0 {
		lines := []string{"More may have come than was entered, or another lot was used under this code. Nothing is corrected; say what is known."}
		for _, u := range uses {
			for _, reason := range u.Reasons {
				lines = append(lines, "Said at "+words.Serial(u.Item.Name())+": "+stopped(reason))
			}
		}
		p.Bands = append(p.Bands, LotBand{Tone: "care", Shape: "triangle", Title: pieces(b.Beyond) + " more " + wereOf(b.Beyond) + " used than came: why?", Lines: lines, Act: p.allowed(models.ActReceive, explain)})
	}
	if b.Open() {
		explain.First = explain.First && b.Unexplained == 0
		p.Bands = append(p.Bands, LotBand{Tone: "care", Shape: "triangle", Title: "Counted " + moreOrFewer(b.Count.Difference()) + " than expected: why?",
			Lines: []string{fmt.Sprintf("%s counted on %s by %s, %s expected then. Nothing is corrected; say what is known.", pieces(b.Count.Counted), s.day(b.Count.CountedAt), name(people, b.Count.CountedBy), pieces(b.Count.Expected))},
			Act:   p.allowed(models.ActReceive, explain)})
	}
}

// moreOrFewer is a difference in words: "12 fewer", "3 more".
func moreOrFewer(difference int) string {
	if difference < 0 {
		return pieces(-difference) + " fewer"
	}
	return pieces(difference) + " more"
}

// wereOf is the verb of so many pieces, more or fewer.
func wereOf(n int) string {
	if n == 1 || n == -1 {
		return "was"
	}
	return "were"
}

// allowed is an act where this person may do it.
func (p *LotPage) allowed(act models.Act, a Act) *Act {
	if !p.Actor.May(act) {
		return nil
	}
	return &a
}

// lotSum is how the pieces add up.
func lotSum(p *LotPage, story receive.Story) {
	b := story.Balance
	if b == nil {
		return
	}
	line := func(label string, n int, always bool) {
		if n != 0 || always {
			p.Sum = append(p.Sum, LotFact{Label: label, Value: words.Number(fmt.Sprint(n))})
		}
	}
	came := "Came"
	if story.Bin() {
		came = "Put in"
	}
	line(came, b.Received, true)
	line("Built in", -story.Totals.BuiltIn, true)
	line("Put into bins", -story.Totals.Mixed, false)
	line("Thrown away", -b.Scrapped, false)
	line("Sent back", -b.Returned, false)
	p.Sum = append(p.Sum, LotFact{Label: "Expected", Value: words.Number(fmt.Sprint(b.Expected)), Total: true})
	if b.Count != nil {
		p.Sum = append(p.Sum, LotFact{Label: "Last counted", Value: pieces(b.Count.Counted)})
	}
}

// storyActs are what may be done, by its place on the page; the likeliest next act
// is filled.
func storyActs(p *LotPage, story receive.Story, path string) {
	add := func(to *[]Act, act models.Act, a Act) {
		if p.Actor.May(act) {
			*to = append(*to, a)
		}
	}
	d := story.Decision
	stopped := d != nil && d.Stops()
	asks := story.Balance != nil && (story.Balance.Open() || story.Balance.Unexplained > 0)
	inspect := Act{Text: "Inspect", Path: path + "/inspect"}
	planned := story.Look != nil
	if !story.Bin() && !planned { // What is still to be looked at has its act above.
		add(&p.Decide, models.ActReceive, inspect)
	}
	if d == nil || d.Decision != models.LotAccept {
		act := models.ActReceive
		if receive.Grave(models.LotAccept, d) {
			act = models.ActLiftHold
		}
		add(&p.Decide, act, Act{Text: "Accept", Path: path + "/accept"})
	}
	if d == nil || d.Decision != models.LotQuarantine {
		add(&p.Decide, models.ActReceive, Act{Text: "Quarantine", Path: path + "/quarantine", Bars: true})
	}
	if d == nil || d.Decision != models.LotConcession {
		add(&p.Decide, models.ActLiftHold, Act{Text: "Use under a concession", Path: path + "/concession"})
	}
	if !story.Bin() {
		add(&p.Decide, models.ActLiftHold, Act{Text: "Send back", Path: path + "/return"})
	}
	if story.Balance != nil {
		add(&p.Balance, models.ActReceive, Act{Text: "Count it", Path: path + "/count"})
	}
	add(&p.Balance, models.ActReceive, Act{Text: "Throw some away", Path: path + "/scrap"})
	if !stopped {
		add(&p.Balance, models.ActReceive, Act{Text: "Put into a bin", Path: path + "/mix"})
	}
	if stopped {
		add(&p.Acts, models.ActLiftHold, Act{Text: "Decide", Path: "#decide", First: true})
	}
	add(&p.Acts, models.ActReceive, Act{Text: "Receive another", Path: "/lots/new?material=" + story.Lot.Material, First: !planned && !stopped && !asks})
	add(&p.Acts, models.ActPrint, Act{Text: "Label", Path: path + "/label"})
	add(&p.Acts, models.ActRecall, Act{Text: "Call back", Path: "/recalls/new?lot=" + urlQuery(story.Lot.Code)})
	add(&p.Acts, models.ActRaiseHold, Act{Text: "Hold the lot", Path: path + "/hold", Bars: true})
}
