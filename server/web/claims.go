package web

import (
	"context"
	"fmt"
	"net/http"
	"net/url"
	"strings"
	"time"

	"github.com/gin-gonic/gin"

	"tracewright/models"
	"tracewright/models/words"
	"tracewright/models/work/claims"
	"tracewright/server/httpx"
)

// claimsShown is how many claims a list has.
const claimsShown = 200

func claimPath(number string) string { return "/claims/" + url.PathEscape(number) }

func (s *site) claimRoutes() []httpx.Route {
	return []httpx.Route{
		get("/items/:serial/others", models.ActLook, s.others),
		get("/claims", models.ActLook, s.claims),
		get("/claims/new", models.ActClaims, s.newClaim),
		post("/claims/new", models.ActClaims, s.openClaim),
		get("/claims/:number", models.ActLook, s.claim),
		post("/claims/:number", models.ActClaims, s.addToClaim),
		get("/claims/:number/close", models.ActClaims, s.closeClaimPage),
		post("/claims/:number/close", models.ActClaims, s.closeClaim),
		{Method: http.MethodPost, Path: "/claims/:number/photos", Act: models.ActClaims, Handler: s.addClaimPhoto, File: true},
		get("/claims/:number/erase", models.ActCustomers, s.eraseClaimPage),
		post("/claims/:number/erase", models.ActCustomers, s.eraseClaim),
		get("/claims/:number/photos/:id/erase", models.ActCustomers, s.eraseClaimPhotoPage),
		post("/claims/:number/photos/:id/erase", models.ActCustomers, s.eraseClaimPhoto),
	}
}

// ClaimsPage lists the claims: those that wait, the oldest first, then the rest.
type ClaimsPage struct {
	Frame
	Answer  string
	Waiting []ClaimRow
	Rest    []ClaimRow
}

// ClaimRow is one claim.
type ClaimRow struct {
	Number, Path, What, Opened string
	On                         Span
	State                      Mark
}

func (s *site) claims(c *gin.Context) error {
	ctx := c.Request.Context()
	list, err := s.services.Claims.Listed(ctx, claimsShown)
	if err != nil {
		return err
	}
	page := ClaimsPage{Frame: s.frame(c, "Claims", "/claims"), Answer: "No claim waits"}
	items, err := s.claimedItems(ctx, list)
	if err != nil {
		return err
	}
	unanswered, err := s.services.Claims.Unanswered(ctx)
	if err != nil {
		return err
	}
	listed := 0
	for _, v := range list {
		switch v.State {
		case models.ClaimClosed:
			page.Rest = append(page.Rest, s.claimRow(v, items))
			continue
		case models.ClaimOpen:
			listed++
		}
		page.Waiting = append(page.Waiting, s.claimRow(v, items))
	}
	if unanswered > 0 {
		page.Answer = counted(unanswered, "claim waits for an answer", "claims wait for an answer")
	}
	if listed < unanswered {
		page.Answer += fmt.Sprintf("; the oldest %d are listed", listed)
	}
	return show(c, "claims", page)
}

func (s *site) claimRow(v models.ClaimView, items map[string]models.Item) ClaimRow {
	return ClaimRow{Number: v.Number, Path: claimPath(v.Number), What: s.claimWhat(v), Opened: s.day(v.OpenedAt), State: claimMark(v), On: claimedSpan(v, items)}
}

// claimedItems finds the items that claims name.
func (s *site) claimedItems(ctx context.Context, list []models.ClaimView) (map[string]models.Item, error) {
	var ids []string
	for _, v := range list {
		if v.ItemID != nil {
			ids = append(ids, *v.ItemID)
		}
	}
	return s.services.Trace.Named(ctx, ids)
}

// claimedSpan is what a claim is about: its item, or the words for it.
func claimedSpan(v models.ClaimView, items map[string]models.Item) Span {
	if v.ItemID == nil {
		return Span{Text: claimWords(v.Claim)}
	}
	item := items[*v.ItemID]
	return Span{Text: words.Serial(item.Name()), Mono: true, Path: itemPath(pointed(item.Serial), item.ID)}
}

// claimWords says what an item is that the log does not know.
func claimWords(c models.Claim) string {
	parts := []string{firstOf(c.Product, "a "+english.Kind(c.Kind))}
	if c.MotorNumber != "" {
		parts = append(parts, "motor "+c.MotorNumber)
	}
	if c.OrderRef != "" {
		parts = append(parts, "order "+c.OrderRef)
	}
	return strings.Join(parts, ", ")
}

// claimWhat is what is wrong, as far as it is known.
func (s *site) claimWhat(v models.ClaimView) string {
	coded := v.Last(models.ClaimCoded)
	switch {
	case coded != nil:
		return words.Sentence(s.fault(coded.Code, coded.MadeAt))
	case v.Words != nil:
		return "“" + shortened(v.Words.Words, 80) + "”"
	}
	return "Not found out yet"
}

func shortened(text string, most int) string {
	runes := []rune(text)
	if len(runes) <= most {
		return text
	}
	return strings.TrimSpace(string(runes[:most])) + "…"
}

func claimMark(v models.ClaimView) Mark {
	decided := v.Last(models.ClaimAnswered)
	if decided == nil {
		return Mark{"triangle", words.Sentence(english.ClaimState(models.ClaimOpen)), "care"}
	}
	mark := Mark{"tick", words.Sentence(english.Decision(decided.Decision)), "pass"}
	switch decided.Decision {
	case models.ClaimReject:
		mark.Shape, mark.Tone = "cross", "fail"
	case models.ClaimNoFault:
		mark.Shape, mark.Tone = "ring", "none"
	}
	return mark
}

func (s *site) newClaim(c *gin.Context) error {
	values := map[string]string{"item": c.Query("item"), "customer": c.Query("customer"), "kind": models.KindWheel}
	if values["item"] != "" {
		values["item"] = words.Serial(values["item"])
	}
	if number := c.Query("recall"); number != "" { // It came back: what is empty yet is how.
		values["words"], values["came_on"] = "Called back by "+models.Shortened(number), s.now().Format(time.DateOnly)
	}
	return s.showNewClaim(c, http.StatusOK, filled(values))
}

func (s *site) showNewClaim(c *gin.Context, status int, f *form) error {
	page := ReceiveForm{Frame: s.frame(c, "Open a claim", "/claims"), Title: "Open a claim", Path: "/claims/new", Back: "/claims", Button: "Open it",
		Says: "Name the item if it can be named. Otherwise say what is known: it can be named later."}
	page.Fields = []Field{
		f.field(Field{Name: "words", Label: "What the customer says", Kind: "text area", Focus: true, Hint: "In their own words. They can be erased later."}),
		f.field(Field{Name: "item", Label: "Serial", Mono: true, Width: "w6", Optional: true, Hint: "Or its last five characters."}),
		f.field(Field{Name: "came_on", Label: "Came in on", Kind: "date", Width: "w6", Optional: true, Hint: "Empty while the customer has it."}),
		f.field(Field{Name: "kind", Label: "Without a serial: what it is", Kind: "select", Width: "w4", Choices: choices([]string{models.KindWheel, models.KindPack}, english.Kind)}),
		f.field(Field{Name: "product", Label: "In words", Width: "w8", Optional: true, Hint: "Colour, size, year, what is written on it."}),
		f.field(Field{Name: "motor", Label: "Motor number", Mono: true, Width: "w6", Optional: true}),
		f.field(Field{Name: "order", Label: "Order", Width: "w6", Optional: true}),
	}
	if id := f.value("customer"); id != "" && page.Actor.May(models.ActCustomers) {
		page.Hidden = []Choice{{"customer", id}}
		page.Says += " The customer chosen is named by a key alone."
	}
	waiting, err := s.services.Claims.WaitingOn(c.Request.Context(), f.value("item"))
	if err != nil {
		return err
	}
	if len(waiting) > 0 {
		page.Tell = waitingClaims(waiting)
		page.Hidden = append(page.Hidden, Choice{"sure", f.value("item")})
		page.Button = "Open another"
	}
	page.Problems = f.summary()
	return send(c, status, "receive", page)
}

// waitingClaims says which claims on the same item wait for an answer.
func waitingClaims(waiting []models.ClaimView) []Span {
	spans := []Span{{Text: "On this item "}}
	for i, v := range waiting {
		if i > 0 {
			spans = append(spans, Span{Text: ", "})
		}
		spans = append(spans, Span{Text: v.Number, Mono: true, Path: claimPath(v.Number)})
	}
	if len(waiting) == 1 {
		return append(spans, Span{Text: " waits for an answer already."})
	}
	return append(spans, Span{Text: " wait for an answer already."})
}

func (s *site) openClaim(c *gin.Context) error {
	in := claims.Opening{Item: c.PostForm("item"), Kind: c.PostForm("kind"), Product: c.PostForm("product"), Motor: c.PostForm("motor"), Order: c.PostForm("order"), Words: c.PostForm("words"), CameOn: c.PostForm("came_on")}
	actor := httpx.Actor(c)
	if actor.May(models.ActCustomers) {
		in.Customer = strings.TrimSpace(c.PostForm("customer"))
	}
	if c.PostForm("sure") != in.Item { // Asked once about the same item.
		waiting, err := s.services.Claims.WaitingOn(c.Request.Context(), in.Item)
		if err != nil {
			return err
		}
		if len(waiting) > 0 {
			return s.showNewClaim(c, http.StatusUnprocessableEntity, posted(c, nil))
		}
	}
	v, err := s.services.Claims.Open(c.Request.Context(), actor, in)
	if answerable(err) {
		return s.showNewClaim(c, http.StatusUnprocessableEntity, posted(c, err))
	}
	if err != nil {
		return err
	}
	return redirect(c, claimPath(v.Number), "claim")
}

func (s *site) eraseClaimPage(c *gin.Context) error { return s.showEraseClaim(c, http.StatusOK, nil) }

func (s *site) showEraseClaim(c *gin.Context, status int, problem error) error {
	path, f := claimPath(c.Param("number")), posted(c, problem)
	page := ConfirmPage{Frame: s.frame(c, "Erase a customer’s words", "/claims"), About: c.Param("number"), Mono: true, Title: "Erase what the customer said", Button: "Erase", Path: path + "/erase", Back: path,
		Says: []string{"The words go for good, with the salt of their hash. The claim, its code and its decision stay."}}
	page.Secret = s.secretField(c, f)
	page.Problems = f.summary()
	return send(c, status, "confirm", page)
}

func (s *site) eraseClaim(c *gin.Context) error {
	err := s.confirm(c)
	if err == nil {
		err = s.services.Claims.EraseWords(c.Request.Context(), httpx.Actor(c), c.Param("number"))
	}
	if answerable(err) {
		return s.showEraseClaim(c, http.StatusUnprocessableEntity, err)
	}
	if err != nil {
		return err
	}
	return redirect(c, claimPath(c.Param("number")), "changed")
}

// age says how long ago something was, in whole months or days of the calendar:
// "7 months".
func age(from, to time.Time) string {
	months := (to.Year()-from.Year())*12 + int(to.Month()) - int(from.Month())
	if to.Day() < from.Day() {
		months--
	}
	if months > 0 {
		return plural(months, "month", "months")
	}
	return plural(max(0, int(dayOf(to).Sub(dayOf(from)).Hours()/24)), "day", "days")
}
