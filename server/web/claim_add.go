package web

import (
	"fmt"
	"maps"
	"net/http"
	"net/url"
	"slices"
	"strconv"
	"strings"

	"github.com/gin-gonic/gin"

	"tracewright/models"
	"tracewright/models/words"
	"tracewright/models/work/claims"
	"tracewright/server/httpx"
)

// addToClaim keeps what was said of a claim; where another check list is asked for it
// keeps nothing, and shows that beside what was typed.
func (s *site) addToClaim(c *gin.Context) error {
	from := c.PostForm("from")
	if c.PostForm("show") != "" {
		return s.showClaim(c, http.StatusOK, otherList(c.Request.PostForm), nil)
	}
	in := claims.Added{From: &from, Item: c.PostForm("item"), Moved: c.PostForm("moved"), CameOn: c.PostForm("came_on"), Symptom: c.PostForm("symptom"), Spot: c.PostForm("spot"), Code: c.PostForm("code"), Decision: c.PostForm("decision"), Reason: c.PostForm("reason"),
		Amount: c.PostForm("amount"), Currency: c.PostForm("currency"), Removal: c.PostForm("removal")}
	if n, err := strconv.Atoi(c.PostForm("list")); err == nil && in.Symptom != "" {
		in.List = &n
	}
	if err := c.Request.ParseForm(); err != nil {
		return fmt.Errorf("read the form of a claim: %w", err)
	}
	for field, values := range c.Request.PostForm {
		if question, is := strings.CutPrefix(field, "yes_"); is && slices.Contains(values, "yes") && in.Symptom != "" {
			in.Yes = append(in.Yes, question)
		}
	}
	slices.Sort(in.Yes)
	if c.PostForm("then") == "close" && in.Decision == "" {
		return s.showClaim(c, http.StatusUnprocessableEntity, c.Request.PostForm, models.Invalid("decision", "claim_undecided"))
	}
	err := s.services.Claims.Add(c.Request.Context(), httpx.Actor(c), c.Param("number"), in)
	if answerable(err) {
		return s.showClaim(c, http.StatusUnprocessableEntity, c.Request.PostForm, err)
	}
	if err != nil {
		return err
	}
	switch path := claimPath(c.Param("number")); c.PostForm("then") {
	case "list":
		return redirect(c, "/claims", "changed")
	case "close":
		return redirect(c, path+"/close", "changed")
	default:
		return redirect(c, path, "changed")
	}
}

// otherList is what was typed with another check list in hand: the answers are to the
// one before.
func otherList(typed url.Values) url.Values {
	to := typed.Get("list_of")
	if to == typed.Get("symptom") {
		return typed
	}
	typed = maps.Clone(typed)
	maps.DeleteFunc(typed, func(field string, _ []string) bool { return field == "list" || strings.HasPrefix(field, "yes_") })
	typed.Set("symptom", to)
	return typed
}

func (s *site) closeClaimPage(c *gin.Context) error { return s.showCloseClaim(c, http.StatusOK, nil) }

// showCloseClaim says what is still open before a claim closes.
func (s *site) showCloseClaim(c *gin.Context, status int, problem error) error {
	ctx, f := c.Request.Context(), posted(c, problem)
	v, err := s.services.Claims.Claim(ctx, c.Param("number"))
	if err != nil {
		return err
	}
	items, err := s.claimedItems(ctx, []models.ClaimView{v})
	if err != nil {
		return err
	}
	page := ConfirmPage{Frame: s.frame(c, "Close a claim", "/claims"), About: v.Number, Mono: true, Title: "Close the claim", Button: "Close it", Path: claimPath(v.Number) + "/close", Back: claimPath(v.Number)}
	var item *models.Item
	if v.ItemID != nil {
		of := items[*v.ItemID]
		item = &of
	}
	page.Says = append(claimStill(v, item), "Closed, it takes no other decision. What it cost and photos may be added later.")
	page.Problems = f.summary()
	return send(c, status, "confirm", page)
}

// claimStill says what is open of a claim that is to be closed.
func claimStill(v models.ClaimView, item *models.Item) []string {
	var still []string
	decided := v.Last(models.ClaimAnswered)
	came := v.Last(models.ClaimCameIn) != nil
	if decided == nil {
		still = append(still, "Nobody has decided about it.")
	} else {
		still = append(still, "Decided: "+english.Decision(decided.Decision)+". Close it once the customer has the answer.")
	}
	switch {
	case item == nil:
		still = append(still, "Its item was never named.")
	case came && models.Whereabouts(item.State) == models.RecallHere:
		text := words.Serial(item.Name()) + " is here, and not with its owner: it is " + english.State(item.State)
		if item.State != models.StateReleased {
			text += ", neither released nor shipped"
		}
		still = append(still, text+".")
	case !came && decided != nil && decided.Accepts():
		still = append(still, words.Serial(item.Name())+" has not come in.")
	}
	if decided != nil && decided.Accepts() && v.Last(models.ClaimCost) == nil {
		still = append(still, "No cost is kept.")
	}
	return still
}

func (s *site) closeClaim(c *gin.Context) error {
	err := s.services.Claims.Add(c.Request.Context(), httpx.Actor(c), c.Param("number"), claims.Added{Close: true})
	if answerable(err) {
		return s.showCloseClaim(c, http.StatusUnprocessableEntity, err)
	}
	if err != nil {
		return err
	}
	return redirect(c, claimPath(c.Param("number")), "changed")
}
