package web

import (
	"errors"
	"fmt"
	"net/http"
	"strconv"
	"strings"

	"github.com/gin-gonic/gin"

	"tracewright/models"
	"tracewright/models/words"
	"tracewright/models/work/receive"
	"tracewright/server/httpx"
)

// posts one of the small forms of a lot: what the service refuses is shown at
// the form, anything else leads back to the lot.
func (s *site) postLot(c *gin.Context, done string, do func() error, again func(status int, problem error) error) error {
	err := do()
	if answerable(err) {
		return again(http.StatusUnprocessableEntity, err)
	}
	if err != nil {
		return err
	}
	return redirect(c, lotPath(c.Param("code")), done)
}

// lotForm is the frame of a small form of a lot.
func (s *site) lotForm(c *gin.Context, tab, act string) ConfirmPage {
	code := c.Param("code")
	return ConfirmPage{Frame: s.frame(c, tab, "/lots"), About: "Lot " + code, Path: lotPath(code) + "/" + act, Back: lotPath(code)}
}

// wholeNumber reads a whole number from a form.
func wholeNumber(c *gin.Context, field string) (int, error) {
	typed := strings.TrimSpace(c.PostForm(field))
	n, err := strconv.Atoi(typed)
	if err != nil {
		return 0, models.Invalid(field, "not_a_number", "typed", models.Shortened(typed))
	}
	return n, nil
}

// asTyped moves problems of the entries of a list to the rows of the form that
// they were typed into; rows are those that were not left empty.
func asTyped(err error, list string, rows []int) error {
	var invalid *models.InvalidError
	if !errors.As(err, &invalid) {
		return err
	}
	out := &models.InvalidError{}
	for _, p := range invalid.Problems {
		for entry, row := range rows {
			if rest, ok := strings.CutPrefix(p.Field, fmt.Sprintf("%s[%d].", list, entry)); ok {
				p.Field = fmt.Sprintf("%s[%d].%s", list, row, rest)
				break
			}
		}
		out.Problems = append(out.Problems, p)
	}
	return out
}

// lotDecisionForms are the words of the decisions.
var lotDecisionForms = map[string]struct{ title, button, says, reason string }{
	models.LotAccept:     {"Accept the lot", "Accept it", "Its pieces may be fitted. What was found and decided before stays on record.", "What speaks for it"},
	models.LotQuarantine: {"Put the lot in quarantine", "Quarantine it", "No piece of it is fitted, at the stand, at the bench or in matching, and nothing that holds one is certified, until somebody decides.", "What you saw"},
	models.LotConcession: {"Use it under a concession", "Use it", "It does not conform and is used all the same, for the reason that you give. Your name stands beside it.", "Why it may be used"},
	models.LotReturn:     {"Send it back to the supplier", "Send it back", "The pieces leave the lot. What is left of it is fitted nowhere until somebody decides about that.", "Why it goes back"},
}

func (s *site) decideLotPage(decision string) httpx.Handler {
	return func(c *gin.Context) error { return s.showDecideLot(c, http.StatusOK, decision, nil) }
}

func (s *site) showDecideLot(c *gin.Context, status int, decision string, problem error) error {
	story, err := s.services.Receive.Story(c.Request.Context(), c.Param("code"))
	if err != nil {
		return err
	}
	f, form := posted(c, problem), lotDecisionForms[decision]
	grave := receive.Grave(decision, story.Decision)
	page := s.lotForm(c, form.title, decision)
	from := story.Since()
	if problem != nil {
		from = c.PostForm("from")
	}
	page.Hidden = []Choice{{"from", from}}
	page.Title, page.Button, page.Says, page.Bars = form.title, form.button, []string{form.says}, decision == models.LotQuarantine
	if decision == models.LotReturn {
		page.Fields = append(page.Fields, f.field(Field{Name: "quantity", Label: words.Sentence(story.Material.Unit) + " that go back", Mode: "numeric", Width: "w4", Focus: true}))
	}
	page.Fields = append(page.Fields, f.field(Field{Name: "reason", Label: form.reason, Kind: "text area", Optional: !grave && decision == models.LotAccept}))
	if grave {
		page.Secret = s.secretField(c, f)
	}
	page.Problems = f.summary()
	return send(c, status, "confirm", page)
}

func (s *site) decideLot(decision string) httpx.Handler {
	return func(c *gin.Context) error {
		ctx := c.Request.Context()
		return s.postLot(c, "lot_decided", func() error {
			story, err := s.services.Receive.Story(ctx, c.Param("code"))
			if err != nil {
				return err
			}
			from := c.PostForm("from")
			if from != story.Since() { // Before a secret is asked for: it would confirm what was not shown.
				return fmt.Errorf("decide about lot %s: %w", story.Lot.Code, models.ErrStale)
			}
			in := receive.Decided{Lot: story.Lot.Code, Decision: decision, Reason: c.PostForm("reason"), Since: &from}
			if decision == models.LotReturn {
				if in.Quantity, err = wholeNumber(c, "quantity"); err != nil {
					return err
				}
			}
			if receive.Grave(decision, story.Decision) {
				if err := s.confirm(c); err != nil {
					return err
				}
			}
			_, err = s.services.Receive.Decide(ctx, httpx.Actor(c), in)
			return err
		}, func(status int, problem error) error { return s.showDecideLot(c, status, decision, problem) })
	}
}

func (s *site) scrapLotPage(c *gin.Context) error { return s.showScrapLot(c, http.StatusOK, nil) }

func (s *site) showScrapLot(c *gin.Context, status int, problem error) error {
	story, err := s.services.Receive.Story(c.Request.Context(), c.Param("code"))
	if err != nil {
		return err
	}
	f := posted(c, problem)
	page := s.lotForm(c, "Throw some away", "scrap")
	page.Title, page.Button, page.Says = "Throw some away", "Record it", []string{"The pieces leave the lot. Mark or cut what is thrown away, so that nobody fits it."}
	page.Fields = []Field{f.field(Field{Name: "quantity", Label: words.Sentence(story.Material.Unit), Mode: "numeric", Width: "w4", Focus: true}),
		f.field(Field{Name: "code", Label: "What is wrong", Kind: "select", Width: "w8", Choices: s.faultChoices(lotKind(story.Material))}),
		f.field(Field{Name: "reason", Label: "What you saw", Kind: "text area", Optional: true})}
	page.Problems = f.summary()
	return send(c, status, "confirm", page)
}

// lotKind is the kind of item whose defects a material has; empty for any.
func lotKind(m models.Material) string {
	for _, role := range m.Roles {
		switch role {
		case "block", "harness", "connector":
			return models.KindPack
		default:
			return models.KindWheel
		}
	}
	return ""
}

func (s *site) scrapLot(c *gin.Context) error {
	return s.postLot(c, "lot_kept", func() error {
		n, err := wholeNumber(c, "quantity")
		if err != nil {
			return err
		}
		return s.services.Receive.Scrap(c.Request.Context(), httpx.Actor(c), receive.Scrapped{Lot: c.Param("code"), Quantity: n, Code: c.PostForm("code"), Reason: c.PostForm("reason")})
	}, func(status int, problem error) error { return s.showScrapLot(c, status, problem) })
}

func (s *site) countLotPage(c *gin.Context) error { return s.showCountLot(c, http.StatusOK, nil) }

// showCountLot does not say what is expected: a count that knows it is none.
func (s *site) showCountLot(c *gin.Context, status int, problem error) error {
	f := posted(c, problem)
	page := s.lotForm(c, "Count a lot", "count")
	page.Title, page.Button, page.Says = "Count it", "Keep the count", []string{"What the record expects is shown afterwards. A difference corrects nothing: it becomes a question."}
	page.Fields = []Field{f.field(Field{Name: "counted", Label: "Counted", Mode: "numeric", Width: "w4", Focus: true})}
	page.Problems = f.summary()
	return send(c, status, "confirm", page)
}

func (s *site) countLot(c *gin.Context) error {
	return s.postLot(c, "lot_kept", func() error {
		n, err := wholeNumber(c, "counted")
		if err != nil {
			return err
		}
		_, err = s.services.Receive.Count(c.Request.Context(), httpx.Actor(c), c.Param("code"), n)
		return err
	}, func(status int, problem error) error { return s.showCountLot(c, status, problem) })
}

func (s *site) explainLotPage(c *gin.Context) error { return s.showExplainLot(c, http.StatusOK, nil) }

func (s *site) showExplainLot(c *gin.Context, status int, problem error) error {
	story, err := s.services.Receive.Story(c.Request.Context(), c.Param("code"))
	if err != nil {
		return err
	}
	f := posted(c, problem)
	page := s.lotForm(c, "Explain a lot", "explain")
	page.Button = "Keep it"
	switch b := story.Balance; {
	case b != nil && b.Open():
		page.Title = "Why " + wereOf(b.Count.Difference()) + " " + moreOrFewer(b.Count.Difference()) + " counted than expected?"
	case b != nil && b.Unexplained > 0:
		page.Title = "Why " + wereOf(b.Beyond) + " " + pieces(b.Beyond) + " more used than came?"
	default:
		page.Title, page.Refused = "It adds up", []string{"There is nothing to explain."}
	}
	page.Says = []string{"The figures stay as they are. What you write is kept beside them with your name."}
	page.Fields = []Field{f.field(Field{Name: "reason", Label: "What is known", Kind: "text area", Focus: true, Hint: "A bag more than on the note; spokes of another lot under this code; thrown away and not recorded."})}
	page.Problems = f.summary()
	return send(c, status, "confirm", page)
}

func (s *site) explainLot(c *gin.Context) error {
	return s.postLot(c, "lot_kept", func() error {
		return s.services.Receive.Explain(c.Request.Context(), httpx.Actor(c), c.Param("code"), c.PostForm("reason"))
	}, func(status int, problem error) error { return s.showExplainLot(c, status, problem) })
}

// lotsPoured is how many lots the form of a bin has room for.
const lotsPoured = 4

func (s *site) mixLotPage(c *gin.Context) error { return s.showMixLot(c, http.StatusOK, nil) }

func (s *site) showMixLot(c *gin.Context, status int, problem error) error {
	f := posted(c, problem)
	if problem == nil {
		f = filled(map[string]string{"lots[0].lot": c.Param("code")})
	}
	page := s.lotForm(c, "Put lots into a bin", "mix")
	page.Title, page.Button, page.Scan = "Put lots into a bin", "Put them in", true
	page.Says = []string{"The bin is a lot with a code of its own. What holds pieces of it possibly holds pieces of every lot in it, and a stop of one stops them all."}
	page.Fields = []Field{f.field(Field{Name: "bin", Label: "Bin", Mono: true, Width: "w4", Focus: true, Hint: "A new code, or that of a bin to fill up."}),
		f.field(Field{Name: "description", Label: "Description", Width: "w8", Optional: true})}
	for i := range lotsPoured {
		page.Fields = append(page.Fields, f.field(Field{Name: fmt.Sprintf("lots[%d].lot", i), Label: "Lot", Mono: true, Width: "w8", Optional: i > 0}),
			f.field(Field{Name: fmt.Sprintf("lots[%d].quantity", i), Label: "Pieces of it", Mode: "numeric", Width: "w4", Optional: i > 0}))
	}
	if f.asked("reason") {
		page.Fields = append(page.Fields, f.field(Field{Name: "reason", Label: "Why more than the lot has", Kind: "text area"}))
	}
	page.Problems = f.summary()
	return send(c, status, "confirm", page)
}

func (s *site) mixLot(c *gin.Context) error {
	return s.postLot(c, "lot_mixed", func() error {
		in := receive.Mixed{Bin: c.PostForm("bin"), Description: c.PostForm("description"), Reason: c.PostForm("reason")}
		var rows []int
		for i := range lotsPoured {
			code := strings.TrimSpace(c.PostForm(fmt.Sprintf("lots[%d].lot", i)))
			if code == "" {
				continue
			}
			n, err := wholeNumber(c, fmt.Sprintf("lots[%d].quantity", i))
			if err != nil {
				return err
			}
			in.Lots, rows = append(in.Lots, receive.Poured{Lot: code, Quantity: n}), append(rows, i)
		}
		return asTyped(s.services.Receive.Mix(c.Request.Context(), httpx.Actor(c), in), "lots", rows)
	}, func(status int, problem error) error { return s.showMixLot(c, status, problem) })
}
