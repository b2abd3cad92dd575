package web

import (
	"net/http"
	"slices"
	"strings"
	"time"

	"github.com/gin-gonic/gin"

	"tracewright/models"
	"tracewright/models/trade/flow"
	"tracewright/models/trade/kinds"
	"tracewright/models/words"
)

// NonconformityPage is one nonconformity: what is wrong, the one thing that is to
// be done now, photos, and what became of it.
type NonconformityPage struct {
	Frame
	Number, Path, Answer, Opened string
	On                           Span
	Kind                         string
	Severity, State              Mark
	Note                         string
	Failed                       string // characteristics, in words
	Since                        string // what else was found since it was opened
	Now                          string // what is to be done, in a sentence
	Choices                      []Act  // dispositions to choose from
	Chosen                       string // the one chosen
	Says                         []string
	Form                         string // where the form goes; "" for none
	Fields                       []Field
	Secret                       *Field
	Button                       string
	Back                         string // from a disposition to the choice
	Beside                       []Span // which hold stops the work that was decided on
	Anew                         string // page that decides once more while it is stopped
	Parts                        string // page on which the work changes parts
	Record                       string // page on which it is inspected again
	Fails                        string // page that closes it as nonconforming once more
	Photos                       []PaperRow
	MayNote                      bool   // this person may add notes and photos
	Notes                        string // where a note goes that decides nothing
	Remark                       Field
	Seen                         string // the newest step on the page: a note sent again from it is kept once
	Steps                        []ClaimLine
	Problems                     Problems
}

func (s *site) nonconformity(c *gin.Context) error {
	return s.showNonconformity(c, http.StatusOK, c.Query, nil)
}

func (s *site) showNonconformity(c *gin.Context, status int, value func(string) string, problem error) error {
	page, err := s.nonconformityTyped(c, value, problem)
	if err != nil {
		return err
	}
	return send(c, status, "nonconformity", page)
}

// nonconformityTyped is the page with what was typed so far: a note and a photo are
// kept without it, and leave it.
func (s *site) nonconformityTyped(c *gin.Context, value func(string) string, problem error) (NonconformityPage, error) {
	ctx := c.Request.Context()
	v, err := s.services.Nonconforming.One(ctx, c.Param("number"))
	if err != nil {
		return NonconformityPage{}, err
	}
	people, err := s.people(ctx)
	if err != nil {
		return NonconformityPage{}, err
	}
	items, err := s.services.Trace.Named(ctx, []string{v.ItemID})
	if err != nil {
		return NonconformityPage{}, err
	}
	papers, err := s.services.Documents.Of(ctx, models.SubjectNonconformity, v.ID)
	if err != nil {
		return NonconformityPage{}, err
	}
	f := newForm(value, problem)
	page := s.nonconformityPage(s.frame(c, v.Number, "/nonconformities"), v, items[v.ItemID], people, f)
	page.Photos = s.paperRows(papers, "", people)
	if page.Beside != nil {
		item, err := s.services.Trace.Glance(ctx, v.ItemID, "")
		if err != nil {
			return NonconformityPage{}, err
		}
		page.Beside = s.holdsBeside(page.Actor, v, item.OpenHolds())
	}
	if page.Form != "" && !strings.HasSuffix(page.Form, "/done") {
		page.Secret = s.secretField(c, f)
	}
	page.Problems = f.summary()
	return page, nil
}

// nonconformityPage is the page without its photos and the secret.
func (s *site) nonconformityPage(frame Frame, v models.NonconformityView, item models.Item, people map[string]string, f *form) NonconformityPage {
	page := NonconformityPage{Frame: frame, Number: v.Number, Path: nonconformityPath(v.Number), Answer: words.Sentence(s.fault(v.Code, v.OpenedAt)), Opened: s.minute(v.OpenedAt) + ", " + name(people, v.OpenedBy),
		On: Span{Text: words.Serial(item.Name()), Mono: true, Path: itemPath(pointed(item.Serial), item.ID)}, Kind: english.Kind(item.Kind), Severity: severityMark(v.Worst()), State: nonconformityMark(v), Note: v.Note}
	if v.Code != models.DefectOther {
		page.Answer += " (" + v.Code + ")"
	}
	page.Since = s.foundSince(v)
	page.Failed = joinedNames(v.Failed, english.Characteristic)
	page.Steps = append(page.Steps, ClaimLine{When: s.minute(v.OpenedAt), What: "Opened", Why: v.Note, Who: name(people, v.OpenedBy)})
	for _, step := range v.Steps {
		page.Steps = append(page.Steps, s.nonconformityLine(step, people))
	}
	if v.State != models.NonconformityClosed {
		page.Says = s.decidedWords(v, item, people)
		s.nonconformityNow(&page, v, item, f)
		page.MayNote = frame.Actor.May(models.ActRaiseHold)
	}
	if page.MayNote {
		page.Seen = v.ID
		if n := len(v.Steps); n > 0 {
			page.Seen = v.Steps[n-1].ID
		}
		page.Notes, page.Remark = page.Path+"/notes", f.field(Field{Name: "remark", Label: "A note"})
	}
	return page
}

// foundSince names the defects that were found since it was opened, with their codes.
func (s *site) foundSince(v models.NonconformityView) string {
	var names []string
	for _, step := range v.Steps {
		for _, f := range step.Found {
			names = append(names, s.foundWords(f, step.MadeAt))
		}
	}
	return english.Join(names)
}

func (s *site) foundWords(f models.FoundDefect, at time.Time) string {
	text := lowered(s.fault(f.Code, at))
	if f.Code != models.DefectOther {
		text += " (" + f.Code + ")"
	}
	return text
}

// joinedNames joins the names of codes into a phrase.
func joinedNames(codes []string, named func(string) string) string {
	names := make([]string, len(codes))
	for i, code := range codes {
		names[i] = lowered(named(code))
	}
	return english.Join(names)
}

// nonconformityNow fills in what is to be done now, and the form for it where this
// person may.
func (s *site) nonconformityNow(page *NonconformityPage, v models.NonconformityView, item models.Item, f *form) {
	may := page.Actor.May(models.ActDispose)
	note := Field{Name: "note", Label: "Why, and what is done", Kind: "text area"}
	working := v.State == models.StateRework || v.State == models.StateRepair
	if item.State == models.StateHeld && working && f.value("what") == "" {
		page.Now = "It is " + english.State(v.State) + ", and another hold stops the work. Once that is lifted, say here that the work is done."
		page.Beside = []Span{}
		page.Says = s.againWords(v)
		if may {
			page.Anew = page.Path + "?what=anew"
		}
		return
	}
	switch item.State {
	case models.StateHeld:
		page.Now = "Decide what becomes of it."
		if !may {
			page.Now = "An inspector or the owner decides what becomes of it."
			return
		}
		s.dispositionForm(page, v, item, note, f)
	case models.StateConcessionPending:
		page.Now = "It is to be used as it is. Approve that, or send it back to be decided anew."
		if may {
			page.Form, page.Button = page.Path+"/approval", "Confirm"
			page.Fields = []Field{f.field(Field{Name: "approve", Label: "Use it as it is", Kind: "select", Choices: []Choice{{"", "choose"}, {"yes", "approved"}, {"no", "not approved"}}}), f.field(Field{Name: "note", Label: "Why", Kind: "text area", Optional: true})}
		}
	case models.StateRework, models.StateRepair:
		page.Now = "It is " + english.State(item.State) + ". Say when the work is done; then it is inspected again."
		page.Says = s.againWords(v)
		if page.Actor.May(models.ActRecord) {
			page.Form, page.Button = page.Path+"/done", "The work is done"
			if step := v.Last(string(flow.Rework), string(flow.Repair)); step != nil && changesParts(step.Work) {
				page.Parts = itemPath(pointed(item.Serial), item.ID) + "/parts"
			}
			page.Fields = []Field{f.field(Field{Name: "note", Label: "What was done", Kind: "text area", Optional: true})}
		}
	case models.StateReinspect:
		page.Now = "Inspect it again. When everything passes, this is closed by itself."
		page.Says = s.againWords(v)
		if page.Actor.May(models.ActRecord) && (item.Kind == models.KindWheel || item.Kind == models.KindPack) {
			page.Record = recordPath(item.Kind) + "?serial=" + words.Serial(item.Name())
		}
		if page.Actor.May(models.ActRaiseHold) {
			page.Fails = itemPath(pointed(item.Serial), item.ID) + "/nonconforming"
		}
	case models.StateScrapPending:
		page.Now = "Mark it as scrap and throw it away."
		if may {
			page.Form, page.Button = page.Path+"/confirmation", "It is scrapped"
			page.Fields = []Field{f.field(Field{Name: "marked", Label: "It bears a mark that nobody can miss", Kind: "check"}), f.field(Field{Name: "note", Label: "Where it went", Kind: "text area", Optional: true})}
		}
	case models.StateReturnPending:
		page.Now = "Send it back to its supplier."
		if step := v.Last(string(flow.ReturnSupplier)); step != nil {
			page.Now = "Send it back to " + step.Supplier + "."
		}
		if may {
			page.Form, page.Button = page.Path+"/confirmation", "It is on its way back"
			page.Fields = []Field{f.field(Field{Name: "note", Label: "With which delivery", Kind: "text area", Optional: true})}
		}
	default:
		page.Now = "Its item is " + english.State(item.State) + "."
	}
}

// holdsBeside names the open holds of an item that its nonconformity does not stand
// on, with where each is told and decided.
func (s *site) holdsBeside(actor models.Actor, v models.NonconformityView, open []models.Hold) []Span {
	spans, known := []Span{{Text: "On hold beside that: "}}, v.AllHolds()
	for _, h := range open {
		if slices.Contains(known, h.ID) {
			continue
		}
		spans = append(spans, Span{Text: lowered(s.fault(h.Code, h.RaisedAt)) + ", "})
		switch h.Code {
		case models.HoldRecall:
			spans = append(spans, Span{Text: h.Reason, Path: recallPath(h.Reason), Mono: true})
		case models.HoldOfClaim:
			spans = append(spans, Span{Text: h.Reason, Path: claimPath(h.Reason), Mono: true})
		default:
			spans = append(spans, Span{Text: english.HoldReason(h.Code, h.Reason)})
		}
		if spans = append(spans, Span{Text: ", since " + s.day(h.RaisedAt) + ". "}); actor.May(models.ActLiftHold) {
			spans = append(spans, Span{Text: "Decide on this hold", Path: "/holds/" + h.ID + "/lift"}, Span{Text: " "})
		}
	}
	return spans
}

// decidedWords say what was decided, by whom and why, while it is carried out.
func (s *site) decidedWords(v models.NonconformityView, item models.Item, people map[string]string) []string {
	if !slices.Contains([]string{models.StateConcessionPending, models.StateScrapPending, models.StateReturnPending}, item.State) {
		return nil
	}
	step := v.Last(string(flow.UseAsIs), string(flow.Scrap), string(flow.ReturnSupplier))
	if step == nil {
		return nil
	}
	says := []string{"Decided by " + name(people, step.MadeBy) + ", " + s.minute(step.MadeAt) + ": " + stopped(step.Note)}
	if len(step.Results) > 0 {
		says = append(says, "What may fail: "+joinedNames(step.Results, english.Result)+".")
	}
	return says
}

// againWords say what is read again after a rework or a repair.
func (s *site) againWords(v models.NonconformityView) []string {
	step := v.Last(string(flow.Rework), string(flow.Repair))
	if step == nil {
		return nil
	}
	says := []string{words.Sentence(english.Work(step.Work)) + ": " + stopped(step.Note)}
	if len(step.Again) > 0 {
		says = append(says, "To be read again: "+joinedNames(step.Again, english.Characteristic)+". What the work can disturb is common practice; read more if you know better.")
	}
	return says
}

// changesParts says of a work that something may be taken out or put in by it.
func changesParts(work string) bool {
	return work != "" && !slices.Contains([]string{"retension", "recharge", "case_work"}, work)
}

// dispositionForm offers the dispositions, and asks what the chosen one needs.
func (s *site) dispositionForm(page *NonconformityPage, v models.NonconformityView, item models.Item, note Field, f *form) {
	chosen := flow.Event("dispose_" + f.value("what"))
	if !slices.Contains(flow.Dispositions, chosen) {
		for _, d := range flow.Dispositions {
			code := strings.TrimPrefix(string(d), "dispose_")
			page.Choices = append(page.Choices, Act{Text: words.Sentence(english.Disposed(code)), Path: page.Path + "?what=" + code})
		}
		return
	}
	code := f.value("what")
	page.Chosen, page.Form, page.Back = words.Sentence(english.Disposed(code)), page.Path+"/disposition", page.Path
	page.Button = "Decide so"
	page.Fields = []Field{{Name: "what", Kind: "hidden", Value: code}}
	switch chosen {
	case flow.Rework, flow.Repair:
		says := "It must meet its specification after it."
		if chosen == flow.Repair {
			says = "What still does not conform after it needs a concession."
		}
		page.Says = []string{says, "What failed is read again, and what the work can disturb."}
		page.Fields = append(page.Fields, f.field(Field{Name: "work", Label: "The work", Kind: "select", Choices: append([]Choice{{"", "choose"}}, choices(kinds.WorksOn(item.Kind), func(code string) string { return words.Sentence(english.Work(code)) })...)}))
	case flow.UseAsIs:
		page.Says = []string{"It is used although it does not conform, once that is approved as a step of its own. Its certificate shows what fails, and this concession by its number."}
	case flow.ReturnSupplier:
		page.Fields = append(page.Fields, f.field(Field{Name: "supplier", Label: "Supplier", Width: "w6", Optional: true, Value: firstOf(f.value("supplier"), item.Supplier)}), f.field(Field{Name: "lot", Label: "Lot", Mono: true, Width: "w6", Optional: true}))
	case flow.Scrap:
		page.Says = []string{"It is marked, and that is confirmed as a step of its own. It cannot be undone."}
	}
	page.Fields = append(page.Fields, f.field(note))
}

func (s *site) nonconformityLine(step models.NonconformityStep, people map[string]string) ClaimLine {
	line := ClaimLine{When: s.minute(step.MadeAt), What: words.Sentence(english.NonconformityStep(step.What)), Who: name(people, step.MadeBy)}
	var why []string
	add := func(text string) { why = append(why, stopped(words.Sentence(text))) }
	for _, f := range step.Found {
		add("found now: " + s.foundWords(f, step.MadeAt))
	}
	if step.Severity == models.Critical {
		add(english.Severity(string(step.Severity)))
	}
	if step.Work != "" {
		add(english.Work(step.Work))
	}
	if len(step.Again) > 0 {
		add("to be read again: " + joinedNames(step.Again, english.Characteristic))
	}
	if len(step.Results) > 0 {
		add("what may fail: " + joinedNames(step.Results, english.Result))
	}
	if step.Supplier != "" {
		add("to " + step.Supplier)
	}
	if step.Lot != "" {
		add("of lot " + step.Lot)
	}
	if step.Note != "" {
		add(step.Note)
	}
	line.Why = strings.Join(why, " ")
	return line
}
