package api

import (
	"context"
	"net/http"

	"github.com/gin-gonic/gin"

	"tracewright/models"
	"tracewright/models/work/access"
	"tracewright/models/work/receive"
	"tracewright/server/httpx"
)

func (a *api) suppliers(c *gin.Context) error {
	list, err := a.services.Receive.Suppliers(c.Request.Context())
	if err != nil {
		return err
	}
	names := make([]string, len(list))
	for i, s := range list {
		names[i] = s.Name
	}
	return answer(c, http.StatusOK, gin.H{"suppliers": names})
}

// storyShape is everything about a lot.
type storyShape struct {
	Lot          lotShape           `json:"lot"`
	Decision     string             `json:"decision,omitempty"` // that holds
	Stops        []lotStopShape     `json:"stops"`              // why it may not be fitted
	Balance      *balanceShape      `json:"balance,omitempty"`  // where somebody said how many came
	Checks       []checkShape       `json:"checks"`
	Decisions    []lotDecisionShape `json:"decisions"`
	Scraps       []scrapShape       `json:"scraps"`
	Counts       []countShape       `json:"counts"`
	Explanations []explanationShape `json:"explanations"`
	Contents     []mixShape         `json:"contents"` // what was put into it
	Bins         []mixShape         `json:"bins"`     // what it was put into
	Papers       []paperShape       `json:"papers"`   // of the lot and of its checks
}

type lotStopShape struct {
	Lot      string `json:"lot"` // itself, or one that was mixed into it
	Decision string `json:"decision"`
}

type balanceShape struct {
	Received    int  `json:"received"`
	BuiltIn     int  `json:"built_in"`
	Mixed       int  `json:"mixed"` // put into bins
	Scrapped    int  `json:"scrapped"`
	Returned    int  `json:"returned"`
	Expected    int  `json:"expected"`
	Counted     *int `json:"counted,omitempty"` // last
	Unexplained int  `json:"unexplained"`       // used beyond what came, and nobody said why
	Open        bool `json:"open"`              // the last count differs, and nobody said why
}

type checkShape struct {
	ID        string               `json:"id"`
	Plan      models.LotPlan       `json:"plan"`
	Size      int                  `json:"size"`
	Accept    int                  `json:"accept"`
	Looked    int                  `json:"looked"`
	Bad       []models.DefectCount `json:"bad"`
	Verdict   string               `json:"verdict"`
	Note      string               `json:"note,omitempty"`
	CheckedBy string               `json:"checked_by"`
	CheckedAt instant              `json:"checked_at"`
}

type lotDecisionShape struct {
	ID        string  `json:"id"`
	Decision  string  `json:"decision"`
	CheckID   string  `json:"check_id,omitempty"`
	Quantity  int     `json:"quantity,omitempty"`
	Reason    string  `json:"reason,omitempty"`
	DecidedBy string  `json:"decided_by"`
	DecidedAt instant `json:"decided_at"`
}

type scrapShape struct {
	Quantity   int     `json:"quantity"`
	Code       string  `json:"code"`
	Reason     string  `json:"reason,omitempty"`
	ScrappedBy string  `json:"scrapped_by"`
	ScrappedAt instant `json:"scrapped_at"`
}

type countShape struct {
	Counted   int     `json:"counted"`
	Expected  int     `json:"expected"`
	CountedBy string  `json:"counted_by"`
	CountedAt instant `json:"counted_at"`
}

type explanationShape struct {
	Difference  int     `json:"difference"`
	Reason      string  `json:"reason"`
	ExplainedBy string  `json:"explained_by"`
	ExplainedAt instant `json:"explained_at"`
}

type mixShape struct {
	Lot      string  `json:"lot"`
	Quantity int     `json:"quantity"` // 0 where it came with another bin
	MixedBy  string  `json:"mixed_by"`
	MixedAt  instant `json:"mixed_at"`
}

type paperShape struct {
	ID        string  `json:"id"`
	Of        string  `json:"of"` // lot, lot_check, claim
	SubjectID string  `json:"subject_id"`
	Name      string  `json:"name,omitempty"`
	Note      string  `json:"note,omitempty"`
	MediaType string  `json:"media_type"`
	Size      int     `json:"size"`
	SHA256    string  `json:"sha256"`
	AddedBy   string  `json:"added_by"`
	AddedAt   instant `json:"added_at"`
}

func (a *api) lotStory(c *gin.Context) error {
	return a.answerStory(c, http.StatusOK, c.Param("code"))
}

// answerStory tells the whole of a lot; every change of one answers with it.
func (a *api) answerStory(c *gin.Context, status int, code string) error {
	ctx := c.Request.Context()
	story, err := a.services.Receive.Story(ctx, code)
	if err != nil {
		return err
	}
	names, err := a.names(ctx)
	if err != nil {
		return err
	}
	shape := storyOf(story, names)
	if shape.Papers, err = a.papersOf(ctx, story, names); err != nil {
		return err
	}
	return answer(c, status, shape)
}

func storyOf(s receive.Story, names map[string]string) storyShape {
	shape := storyShape{Lot: lotOf(s.Lot), Stops: []lotStopShape{}, Checks: []checkShape{}, Decisions: []lotDecisionShape{}, Scraps: []scrapShape{}, Counts: []countShape{}, Explanations: []explanationShape{}}
	if s.Decision != nil {
		shape.Decision = s.Decision.Decision
	}
	for _, x := range s.Stops {
		shape.Stops = append(shape.Stops, lotStopShape{x.Code, x.Decision})
	}
	if b := s.Balance; b != nil {
		shape.Balance = &balanceShape{Received: b.Received, BuiltIn: s.Totals.BuiltIn, Mixed: s.Totals.Mixed, Scrapped: b.Scrapped, Returned: b.Returned, Expected: b.Expected, Unexplained: b.Unexplained, Open: b.Open()}
		if b.Count != nil {
			shape.Balance.Counted = &b.Count.Counted
		}
	}
	for _, x := range s.Checks {
		shape.Checks = append(shape.Checks, checkShape{x.ID, x.Plan, x.Size, x.Accept, x.Looked, x.Bad, x.Verdict, x.Note, named(names, x.CheckedBy), instant(x.CheckedAt)})
	}
	for _, x := range s.Decisions {
		shape.Decisions = append(shape.Decisions, lotDecisionShape{x.ID, x.Decision, pointed(x.CheckID), x.Quantity, x.Reason, named(names, x.DecidedBy), instant(x.DecidedAt)})
	}
	for _, x := range s.Scraps {
		shape.Scraps = append(shape.Scraps, scrapShape{x.Quantity, x.Code, x.Reason, named(names, x.ScrappedBy), instant(x.ScrappedAt)})
	}
	for _, x := range s.Counts {
		shape.Counts = append(shape.Counts, countShape{x.Counted, x.Expected, named(names, x.CountedBy), instant(x.CountedAt)})
	}
	for _, x := range s.Explanations {
		shape.Explanations = append(shape.Explanations, explanationShape{x.Difference, x.Reason, named(names, x.ExplainedBy), instant(x.ExplainedAt)})
	}
	mixes := func(list []models.LotMix, of func(models.LotMix) string) []mixShape {
		out := make([]mixShape, len(list))
		for i, x := range list {
			out[i] = mixShape{s.Codes[of(x)], x.Quantity, named(names, x.MixedBy), instant(x.MixedAt)}
		}
		return out
	}
	shape.Contents = mixes(s.Contents, func(m models.LotMix) string { return m.LotID })
	shape.Bins = mixes(s.Bins, func(m models.LotMix) string { return m.MixID })
	return shape
}

func (a *api) papersOf(ctx context.Context, s receive.Story, names map[string]string) ([]paperShape, error) {
	list, err := a.services.Documents.Of(ctx, models.SubjectLot, s.Lot.ID)
	if err != nil {
		return nil, err
	}
	var checks []string
	for _, x := range s.Checks {
		checks = append(checks, x.ID)
	}
	more, err := a.services.Documents.Of(ctx, models.SubjectLotCheck, checks...)
	if err != nil {
		return nil, err
	}
	return paperShapes(append(list, more...), names), nil
}

func paperShapes(list []models.AttachmentView, names map[string]string) []paperShape {
	out := make([]paperShape, len(list))
	for i, x := range list {
		out[i] = paperShape{x.ID, x.SubjectKind, x.SubjectID, x.Name, x.Note, x.MediaType, x.Size, x.FileHash, named(names, x.AddedBy), instant(x.AddedAt)}
	}
	return out
}

// changedLot answers a change of a lot with its whole story.
func (a *api) changedLot(c *gin.Context, err error) error {
	if err != nil {
		return err
	}
	return a.answerStory(c, http.StatusCreated, c.Param("code"))
}

func (a *api) inspectLot(c *gin.Context) error {
	var in struct {
		Plan   models.LotPlan       `json:"plan"`
		Looked int                  `json:"looked"`
		Bad    []models.DefectCount `json:"bad"`
		Note   string               `json:"note"`
	}
	if err := httpx.DecodeJSON(c, &in); err != nil {
		return err
	}
	_, err := a.services.Receive.Inspect(c.Request.Context(), httpx.Actor(c), receive.Looked{Lot: c.Param("code"), Plan: in.Plan, Looked: in.Looked, Bad: in.Bad, Note: in.Note})
	return a.changedLot(c, err)
}

// decideLot asks for the secret only where the decision is grave.
func (a *api) decideLot(c *gin.Context) error {
	var in struct {
		Decision string        `json:"decision"`
		Quantity int           `json:"quantity"`
		Reason   string        `json:"reason"`
		From     *string       `json:"from"` // left out: decided on what holds
		Confirm  access.Secret `json:"confirm"`
	}
	if err := httpx.DecodeJSON(c, &in); err != nil {
		return err
	}
	ctx := c.Request.Context()
	story, err := a.services.Receive.Story(ctx, c.Param("code"))
	if err != nil {
		return err
	}
	if receive.Grave(in.Decision, story.Decision) {
		if !httpx.Actor(c).May(models.ActLiftHold) {
			return models.ErrForbidden
		}
		if err := a.services.Sessions.Confirm(c, in.Confirm); err != nil {
			return err
		}
	}
	_, err = a.services.Receive.Decide(ctx, httpx.Actor(c), receive.Decided{Lot: story.Lot.Code, Decision: in.Decision, Quantity: in.Quantity, Reason: in.Reason, Since: in.From})
	return a.changedLot(c, err)
}

func (a *api) scrapLot(c *gin.Context) error {
	var in struct {
		ID       string `json:"id"`
		Quantity int    `json:"quantity"`
		Code     string `json:"code"`
		Reason   string `json:"reason"`
	}
	if err := httpx.DecodeJSON(c, &in); err != nil {
		return err
	}
	return a.changedLot(c, a.services.Receive.Scrap(c.Request.Context(), httpx.Actor(c), receive.Scrapped{ID: in.ID, Lot: c.Param("code"), Quantity: in.Quantity, Code: in.Code, Reason: in.Reason}))
}

func (a *api) countLot(c *gin.Context) error {
	var in struct {
		Counted int `json:"counted" needed:"yes"`
	}
	if err := httpx.DecodeJSON(c, &in); err != nil {
		return err
	}
	_, err := a.services.Receive.Count(c.Request.Context(), httpx.Actor(c), c.Param("code"), in.Counted)
	return a.changedLot(c, err)
}

func (a *api) explainLot(c *gin.Context) error {
	var in struct {
		Reason string `json:"reason"`
	}
	if err := httpx.DecodeJSON(c, &in); err != nil {
		return err
	}
	return a.changedLot(c, a.services.Receive.Explain(c.Request.Context(), httpx.Actor(c), c.Param("code"), in.Reason))
}

// mixLots puts lots into the bin of the address, which is made where it is new.
func (a *api) mixLots(c *gin.Context) error {
	var in struct {
		ID          string `json:"id"`
		Description string `json:"description"`
		Reason      string `json:"reason"`
		Lots        []struct {
			Lot      string `json:"lot"`
			Quantity int    `json:"quantity"`
		} `json:"lots"`
	}
	if err := httpx.DecodeJSON(c, &in); err != nil {
		return err
	}
	mixed := receive.Mixed{ID: in.ID, Bin: c.Param("code"), Description: in.Description, Reason: in.Reason}
	for _, l := range in.Lots {
		mixed.Lots = append(mixed.Lots, receive.Poured{Lot: l.Lot, Quantity: l.Quantity})
	}
	return a.changedLot(c, a.services.Receive.Mix(c.Request.Context(), httpx.Actor(c), mixed))
}

// addLotPaper keeps the bytes of the body, whatever type they say they are.
func (a *api) addLotPaper(c *gin.Context) error {
	values := query(c)
	story, err := a.services.Receive.Story(c.Request.Context(), c.Param("code"))
	if err != nil {
		return err
	}
	kind, subject := models.SubjectLot, story.Lot.ID
	if id := values["check"]; id != "" {
		kind, subject = models.SubjectLotCheck, ""
		for _, x := range story.Checks {
			if x.ID == id {
				subject = id
			}
		}
		if subject == "" {
			return models.ErrNotFound
		}
	}
	return a.changedLot(c, a.keepPaper(c, kind, subject, values))
}

// paperFile gives a photo or paper as it was kept.
func (a *api) paperFile(c *gin.Context) error {
	view, raw, err := a.services.Documents.Open(c.Request.Context(), c.Param("id"))
	if err != nil {
		return err
	}
	c.Header("Content-Disposition", "inline")
	httpx.Send(c, http.StatusOK, view.MediaType, raw)
	return nil
}
