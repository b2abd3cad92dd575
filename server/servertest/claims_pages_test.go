package servertest

import (
	"bytes"
	"crypto/sha256"
	"encoding/hex"
	"errors"
	"fmt"
	"html"
	"image"
	"image/png"
	"mime/multipart"
	"net/http"
	"net/url"
	"strings"
	"testing"

	"tracewright/models"
	"tracewright/models/words"
	"tracewright/models/work/claims"
	"tracewright/models/work/documents"
	"tracewright/models/work/recall"
	"tracewright/server/api"
)

// claimed opens a claim on the shop's wheel and gives its number.
func (s *Shop) claimed(t *testing.T) string {
	t.Helper()
	v, err := s.App.Services.Claims.Open(t.Context(), s.Shop.Owner, claims.Opening{Item: *s.Item[models.KindWheel].Serial, Words: "it ticks"})
	s.Must(err)
	return v.Number
}

// photographed adds a photo to a claim and gives its key.
func (s *Shop) photographed(t *testing.T, number string) string {
	t.Helper()
	ctx, papers := t.Context(), s.App.Services.Documents
	v, err := s.App.Services.Claims.Claim(ctx, number)
	s.Must(err)
	s.Must(papers.Add(ctx, s.Shop.Owner, models.SubjectClaim, v.ID, documents.Sent{Name: "spoke.png", Note: "her hand is on it", Bytes: dot(t)}))
	photos, err := papers.Of(ctx, models.SubjectClaim, v.ID)
	s.Must(err)
	return photos[len(photos)-1].ID
}

// dot is a small picture.
func dot(t *testing.T) []byte {
	t.Helper()
	var drawn bytes.Buffer
	if err := png.Encode(&drawn, image.NewGray(image.Rect(0, 0, 2, 2))); err != nil {
		t.Fatal(err)
	}
	return drawn.Bytes()
}

// However many claims wait, each is counted; five have a row each, of six two share one.
func TestEveryClaimThatWaitsIsCounted(t *testing.T) {
	Each(t, func(t *testing.T, s *Shop) {
		opened := 0
		more := func(n int) {
			for range n {
				opened++
				_, err := s.App.Services.Claims.Open(t.Context(), s.Shop.Owner, claims.Opening{Kind: models.KindWheel, Product: fmt.Sprint("a grey wheel ", opened), Words: "it ticks"})
				s.Must(err)
			}
		}
		// One thing waits besides: a gauge of the shop is past its day.
		page := func(path string, has, not []string) Row {
			return Row{Name: fmt.Sprint(opened, " at ", path), Who: Desk, Path: path, Status: http.StatusOK, Has: has, HasNot: not}
		}
		more(5)
		s.Run(t, []Row{page("/", []string{"Six things wait in the shop", "a grey wheel 5"}, []string{"more claim"})})
		more(1)
		s.Run(t, []Row{page("/", []string{"Seven things wait in the shop", "2 more claims wait for an answer"}, []string{"a grey wheel 5"})})
		more(197)
		s.Run(t, []Row{
			page("/", []string{"204 things wait in the shop", "199 more claims wait for an answer"}, nil),
			page("/claims", []string{"203 claims wait for an answer; the oldest 200 are listed"}, nil),
		})
	})
}

// A wheel comes back: from the scan to the closed claim, by pages alone.
func TestAClaimByPages(t *testing.T) {
	Each(t, func(t *testing.T, s *Shop) {
		s.kitted(t)
		wheel := *s.Item[models.KindWheel].Serial
		item, path := "/items/"+wheel, "/claims/CL31-00001"
		s.Run(t, []Row{
			{Name: "shipped, no claim", Who: Desk, Path: item, Status: http.StatusOK, Has: []string{"In service", "0 days", "shipped 12 May 2031; warranty to 12 May 2033", "none so far", "/claims/new?item="}},
			{Name: "an operator opens none", Who: Operator, Path: item, Status: http.StatusOK, HasNot: []string{"/claims/new?item="}},
			Posted("nothing was said", Desk, "/claims/new", url.Values{"item": {wheel}}, http.StatusUnprocessableEntity, "This is needed"),
			Posted("nothing named", Desk, "/claims/new", url.Values{"words": {"x"}, "kind": {"wheel"}}, http.StatusUnprocessableEntity, "Name the item, or its motor number"),
			Posted("misread", Desk, "/claims/new", url.Values{"words": {"x"}, "item": {wheel[:8] + "2"}}, http.StatusUnprocessableEntity, "wrong check character"),
			Posted("tomorrow", Desk, "/claims/new", url.Values{"words": {"x"}, "item": {wheel}, "came_on": {"2031-05-13"}}, http.StatusUnprocessableEntity, "That day lies ahead"),
			Posted("opened", Desk, "/claims/new", url.Values{"words": {"Ticking, then a bang <b>"}, "item": {wheel}, "came_on": {"2031-05-12"}}, http.StatusSeeOther),
			{Name: "on hold for the claim", Who: Desk, Path: item, Status: http.StatusOK, Has: []string{"On hold: returned with a claim", "1 claim", "CL31-00001"}},
			{Name: "another on the same item", Who: Desk, Path: "/claims/new?item=" + wheel, Status: http.StatusOK, Has: []string{"On this item ", "/claims/CL31-00001", " waits for an answer already.", "Open another"}},
			Posted("nor by the last five, without a word", Desk, "/claims/new", url.Values{"words": {"x"}, "item": {wheel[4:]}}, http.StatusUnprocessableEntity, " waits for an answer already.", `name="sure" value="`+wheel[4:]+`"`),
			{Name: "on the first page", Who: Operator, Path: "/", Status: http.StatusOK, Has: []string{"waits for an answer", "CL31-00001", ">Open the claim<"}, HasNot: []string{">Answer<"}},
			{Name: "and of who answers", Who: Desk, Path: "/", Status: http.StatusOK, Has: []string{">Answer<"}},
			{Name: "in the list", Who: Operator, Path: "/claims", Status: http.StatusOK, Has: []string{"One claim waits for an answer"}},
			{Name: "the claim", Who: Desk, Path: path, Status: http.StatusOK, Has: []string{"Ticking, then a bang &lt;b&gt;", "Claimed in time", "24 months to 12 May 2033, counted from shipment", "Save the claim"}, HasNot: []string{"<b>\"", "It is called back"}},
			{Name: "an operator reads it", Who: Operator, Path: path, Status: http.StatusOK, Has: []string{"Ticking"}, HasNot: []string{"Save the claim", "Erase the words"}},
			{Name: "a check list", Who: Desk, Path: path + "?symptom=spoke_broken", Status: http.StatusOK, Has: []string{"Is a flange hole worn or cracked?", "none: Spoke broken (W08)"}},
			s.opened(t, Posted("no answer yet", Desk, path, url.Values{"then": {"close"}, "spot": {"at the valve"}}, http.StatusUnprocessableEntity, "Decide first", "at the valve")),
			Posted("nor by its own page", Desk, path+"/close", nil, http.StatusUnprocessableEntity, "Decide first"),
			s.opened(t, Posted("without a reason", Desk, path, url.Values{"decision": {"accept"}}, http.StatusUnprocessableEntity, "Say why")),
			s.opened(t, Posted("no amount", Desk, path, url.Values{"amount": {"34.20 or so"}, "currency": {"€"}}, http.StatusUnprocessableEntity, "Want an amount")),
			s.opened(t, Posted("a part of another", Desk, path, url.Values{"removal": {models.NewID()}}, http.StatusUnprocessableEntity, "was not swapped in this item")),
			Posted("an operator’s word", Operator, path, url.Values{"decision": {"accept"}, "reason": {"x"}}, http.StatusForbidden),
			s.opened(t, Posted("coded and accepted", Desk, path, url.Values{"symptom": {"spoke_broken"}, "yes_flange_worn": {"yes"}, "decision": {"accept"}, "reason": {"no sign of a blow"}, "amount": {"34,20"}, "currency": {"€"}}, http.StatusSeeOther)),
			{Name: "as it stands", Who: Desk, Path: path, Status: http.StatusOK, Has: []string{"Flange hole worn", "W17", "Accepted under warranty", "no sign of a blow", "Cost 34.20 €"}, HasNot: []string{`<option value="W17" selected>`}},
			s.opened(t, Posted("another code, against the list", Desk, path, url.Values{"symptom": {"spoke_broken"}, "list": {"0"}, "yes_flange_worn": {"yes"}, "code": {"W06"}}, http.StatusSeeOther)),
			{Name: "stays when the form is saved again", Who: Desk, Path: path, Status: http.StatusOK, Has: []string{`<option value="W06" selected>`}},
			{Name: "not for another list", Who: Desk, Path: path + "?symptom=ticks", Status: http.StatusOK, HasNot: []string{`<option value="W06" selected>`}},
			s.opened(t, Posted("as the list says after all", Desk, path, url.Values{"symptom": {"spoke_broken"}, "list": {"0"}, "yes_flange_worn": {"yes"}, "code": {""}}, http.StatusSeeOther)),
			{Name: "by the list again", Who: Desk, Path: path, Status: http.StatusOK, Has: []string{"So far: <b>Flange hole worn"}, HasNot: []string{`<option value="W06" selected>`}},
			{Name: "in work again", Who: Desk, Path: item, Status: http.StatusOK, HasNot: []string{"On hold: returned"}},
			upload(t, "a photo", Desk, path+"/photos", "spoke.png", dot(t), http.StatusSeeOther),
			upload(t, "no photo", Desk, path+"/photos", "spoke.png", []byte("<html>"), http.StatusUnprocessableEntity, "whatever its name says"),
			upload(t, "not an operator’s", Operator, path+"/photos", "spoke.png", dot(t), http.StatusForbidden),
			{Name: "it is shown", Who: Operator, Path: path, Status: http.StatusOK, Has: []string{"spoke.png", "/papers/"}},
			{Name: "what is open before it closes", Who: Inspector, Path: path + "/close", Status: http.StatusOK, Has: []string{"Decided: accepted under warranty", words.Serial(wheel) + " is here, and not with its owner: it is in process, neither released nor shipped.", "Close it"}},
			Posted("closed", Inspector, path+"/close", nil, http.StatusSeeOther),
			{Name: "a closed one takes what comes late", Who: Desk, Path: path, Status: http.StatusOK, Has: []string{"Keep the cost", "Add a photo", "Accepted under warranty, closed"}, HasNot: []string{"Save the claim"}},
			{Name: "from nobody else", Who: Operator, Path: path, Status: http.StatusOK, HasNot: []string{"Keep the cost", "Add a photo"}},
			s.opened(t, Posted("no amount late", Desk, path, url.Values{"amount": {"much"}, "currency": {"€"}}, http.StatusUnprocessableEntity, "Want an amount")),
			s.opened(t, Posted("a late cost", Desk, path, url.Values{"amount": {"41,10"}, "currency": {"€"}}, http.StatusSeeOther)),
			upload(t, "a late photo", Desk, path+"/photos", "bill.png", dot(t), http.StatusSeeOther),
			{Name: "both are there", Who: Desk, Path: path, Status: http.StatusOK, Has: []string{"Cost 41.10 €", "closed"}},
			Posted("closed is closed", Desk, path, url.Values{"decision": {"reject"}, "reason": {"x"}}, http.StatusUnprocessableEntity, "CL31-00001 is closed"),
			{Name: "nothing waits", Who: Desk, Path: "/claims", Status: http.StatusOK, Has: []string{"No claim waits", "Closed, newest first"}},
			Posted("the words erased", Desk, path+"/erase", url.Values{"confirm.password": {Password}}, http.StatusSeeOther),
			{Name: "gone", Who: Desk, Path: path, Status: http.StatusOK, Has: []string{"The words were erased"}, HasNot: []string{"Ticking"}},
			{Name: "customers of two letters", Who: Desk, Path: "/customers?find=ab", Status: http.StatusUnprocessableEntity, Has: []string{"Nothing was looked up"}, HasNot: []string{"Nothing was saved"}},
			{Name: "no such claim", Who: Desk, Path: "/claims/CL31-99999", Status: http.StatusNotFound},
		})
		got, err := s.Store.ItemBySerial(t.Context(), wheel)
		s.Must(err)
		if got.State != models.StateInProcess {
			t.Errorf("an accepted wheel in the shop is %s", got.State)
		}
	})
}

// A photo goes for good, for those who may see customers; the same picture stays
// where another claim has it.
func TestAPhotoOfAClaimIsErased(t *testing.T) {
	Each(t, func(t *testing.T, s *Shop) {
		first, second := s.claimed(t), s.claimed(t)
		photo, other := s.photographed(t, first), s.photographed(t, second)
		erase := func(number, photo string) string { return "/claims/" + number + "/photos/" + photo + "/erase" }
		confirmed := url.Values{"confirm.password": {Password}}
		s.Run(t, []Row{
			{Name: "offered", Who: Desk, Path: "/claims/" + first, Status: http.StatusOK, Has: []string{erase(first, photo)}},
			{Name: "not to an operator", Who: Operator, Path: "/claims/" + first, Status: http.StatusOK, Has: []string{"spoke.png"}, HasNot: []string{erase(first, photo)}},
			{Name: "asked", Who: Desk, Path: erase(first, photo), Status: http.StatusOK, Has: []string{"Erase spoke.png", "goes for good"}},
			{Name: "of another claim", Who: Desk, Path: erase(second, photo), Status: http.StatusNotFound},
			Posted("of another claim, posted", Desk, erase(second, photo), confirmed, http.StatusNotFound),
			Posted("by an operator", Operator, erase(first, photo), confirmed, http.StatusForbidden),
			Posted("erased", Desk, erase(first, photo), confirmed, http.StatusSeeOther),
			{Name: "gone from the claim", Who: Desk, Path: "/claims/" + first, Status: http.StatusOK, HasNot: []string{"spoke.png", "her hand"}},
			{Name: "gone itself", Who: Desk, Path: "/papers/" + photo, Status: http.StatusNotFound},
			{Name: "of the other claim", Who: Desk, Path: "/papers/" + other, Status: http.StatusOK},
			Posted("erased twice", Desk, erase(first, photo), confirmed, http.StatusNotFound),
			Posted("the other too", Desk, erase(second, other), confirmed, http.StatusSeeOther),
		})
		sum := sha256.Sum256(dot(t))
		if _, err := s.Store.File(t.Context(), hex.EncodeToString(sum[:])); !errors.Is(err, models.ErrNotFound) {
			t.Errorf("the file of two erased photos: %v", err)
		}
	})
}

// Of a customer who was erased no photo is asked for any more, and one that was being
// sent meanwhile is refused by what happened.
func TestNoPhotoJoinsAClaimOfACustomerWhoIsGone(t *testing.T) {
	Each(t, func(t *testing.T, s *Shop) {
		box := s.kitted(t)
		v, err := s.App.Services.Claims.Open(t.Context(), s.Shop.Owner, claims.Opening{Item: *s.Item[models.KindWheel].Serial, Customer: box.customer, Words: "it ticks"})
		s.Must(err)
		path := "/claims/" + v.Number
		s.Run(t, []Row{
			{Name: "asked for", Who: Desk, Path: path, Status: http.StatusOK, Has: []string{path + `/photos"`}},
			upload(t, "kept", Desk, path+"/photos", "spoke.png", dot(t), http.StatusSeeOther),
		})
		s.Must(s.Store.EraseCustomer(t.Context(), models.NewStamp(s.Shop.Owner, s.Now), box.customer))
		s.Run(t, []Row{
			{Name: "asked for no more", Who: Desk, Path: path, Status: http.StatusOK, Has: []string{"The customer was erased."}, HasNot: []string{path + `/photos"`, "spoke.png"}},
			upload(t, "refused", Desk, path+"/photos", "spoke.png", dot(t), http.StatusUnprocessableEntity, "no photo of theirs is kept"),
			{Name: "by a program", Method: http.MethodPost, Who: Desk, Path: "/api/v1" + path + "/photos?name=spoke.png", Body: string(dot(t)), Status: http.StatusUnprocessableEntity, Has: []string{"claim_customer_gone"}},
		})
	})
}

// A claim opened from a customer's page keeps their key, for those who may see
// customers.
func TestAClaimOfACustomer(t *testing.T) {
	Each(t, func(t *testing.T, s *Shop) {
		box := s.kitted(t)
		s.Run(t, []Row{
			{Name: "the form", Who: Desk, Path: "/claims/new?customer=" + box.customer, Status: http.StatusOK, Has: []string{box.customer}},
			Posted("opened", Desk, "/claims/new", url.Values{"words": {"it ticks"}, "item": {*s.Item[models.KindWheel].Serial}, "customer": {box.customer}}, http.StatusSeeOther),
			Posted("a name is no key", Desk, "/claims/new", url.Values{"words": {"it ticks"}, "item": {*s.Item[models.KindWheel].Serial}, "customer": {"Ada Brenn"}}, http.StatusUnprocessableEntity),
			{Name: "the claim", Who: Desk, Path: "/claims/CL31-00001", Status: http.StatusOK, Has: []string{"/customers/" + box.customer}},
			{Name: "for an operator", Who: Operator, Path: "/claims/CL31-00001", Status: http.StatusOK, HasNot: []string{box.customer}},
		})
	})
}

// A claim is work: who looks at it at a tablet, whatever their role, reads what was said
// and sees the photos, as whoever repairs has to. Whose it is stands there for nobody, and
// what was said and sent is erased in the office alone.
func TestAClaimAtATablet(t *testing.T) {
	s := On(t, openSQLite(t))
	box := s.kitted(t)
	v, err := s.App.Services.Claims.Open(t.Context(), s.Shop.Owner, claims.Opening{Item: *s.Item[models.KindWheel].Serial, Words: "it ticks", Customer: box.customer})
	s.Must(err)
	photo := s.photographed(t, v.Number)
	for _, who := range []string{OperatorAtStand, InspectorAtStand} {
		for _, base := range []string{"", api.Base} {
			s.Run(t, []Row{
				{Name: "a claim", Who: who, Path: base + "/claims/" + v.Number, Status: http.StatusOK, Has: []string{"it ticks", "spoke.png"}, HasNot: []string{box.customer, "Ada Brenn"}},
				{Name: "its photo", Who: who, Path: base + "/papers/" + photo, Status: http.StatusOK},
				{Name: "a photo erased", Who: who, Method: http.MethodPost, Path: base + "/claims/" + v.Number + "/photos/" + photo + "/erase", Status: http.StatusForbidden},
				{Name: "words erased", Who: who, Method: http.MethodPost, Path: base + "/claims/" + v.Number + "/erase", Status: http.StatusForbidden},
			})
		}
	}
}

// What was claimed on the last day of the warranty is in time, however late it is
// answered.
func TestAClaimIsJudgedByTheDayItWasOpened(t *testing.T) {
	Each(t, func(t *testing.T, s *Shop) {
		wheel, at := s.Item[models.KindWheel], func(years, days int) models.Stamp {
			return models.NewStamp(s.Shop.Owner, s.Now.AddDate(years, 0, days))
		}
		_, err := s.Store.AddShipment(t.Context(), at(-2, -1), 29, models.Shipment{Items: []string{wheel.ID}, Reason: "r", Against: []models.Remark{models.NewRemark("not_released")}})
		s.Must(err)
		_, err = s.Store.AddClaim(t.Context(), at(0, -1), 31, models.Claim{Kind: models.KindWheel}, models.ClaimWords{Words: "it ticks"}, []models.ClaimEvent{{What: models.ClaimLinked, ItemID: &wheel.ID}})
		s.Must(err)
		s.Run(t, []Row{
			{Name: "the claim", Who: Desk, Path: "/claims/CL31-00001", Status: http.StatusOK, Has: []string{"Within warranty; what is wrong", "Claimed in time", "24 months to 11 May 2031"}},
			{Name: "the item today", Who: Desk, Path: "/items/" + *wheel.Serial, Status: http.StatusOK, Has: []string{"warranty ended 11 May 2031"}},
		})
	})
}

// A wheel that is older than the log: claimed by its motor number, found by it,
// and named later.
func TestAClaimForAnItemOlderThanTheLog(t *testing.T) {
	Each(t, func(t *testing.T, s *Shop) {
		wheel, path, other := *s.Item[models.KindWheel].Serial, "/claims/CL31-00001", *s.AnotherWheel().Serial
		s.Run(t, []Row{
			Posted("of no kind", Desk, "/claims/new", url.Values{"words": {"x"}, "motor": {"OR4-60418"}, "kind": {"kit"}}, http.StatusUnprocessableEntity),
			Posted("opened", Desk, "/claims/new", url.Values{"words": {"it grinds"}, "motor": {"OR4-60418"}, "order": {"26-0007"}, "product": {"a blue one"}, "kind": {"wheel"}, "came_on": {"2031-05-10"}}, http.StatusSeeOther),
			{Name: "by words", Who: Desk, Path: path, Status: http.StatusOK, Has: []string{"a blue one, motor OR4-60418, order 26-0007", "ask when it was bought", "Serial, once it is known"}},
			{Name: "found by its motor", Who: Desk, Path: "/find?q=OR4-60418", Status: http.StatusSeeOther, Headers: map[string]string{"Location": path}},
			{Name: "found by its order", Who: Desk, Path: "/find?q=26-0007", Status: http.StatusSeeOther, Headers: map[string]string{"Location": path}},
			{Name: "found by its own number", Who: Desk, Path: "/find?q=cl31-00001", Status: http.StatusSeeOther, Headers: map[string]string{"Location": path}},
			s.opened(t, Posted("named", Desk, path, url.Values{"item": {wheel}}, http.StatusSeeOther)),
			{Name: "on the item", Who: Desk, Path: "/items/" + wheel, Status: http.StatusOK, Has: []string{"1 claim", "not shipped yet"}},
			s.opened(t, Posted("named again", Desk, path, url.Values{"item": {wheel}}, http.StatusSeeOther)),
			s.opened(t, Posted("a pack", Desk, path, url.Values{"item": {s.Serial[models.KindPack]}}, http.StatusUnprocessableEntity, "The claim is about a wheel")),
			s.opened(t, Posted("another one", Desk, path, url.Values{"item": {other}}, http.StatusUnprocessableEntity, "Say why it is this one", "<details class=\"gap-s\" open>")),
			s.opened(t, Posted("no such spoke", Desk, path, url.Values{"spot": {"0"}}, http.StatusUnprocessableEntity, "Spokes are numbered from 1")),
			s.opened(t, Posted("and why, and where", Desk, path, url.Values{"item": {other}, "moved": {"the label of the other one"}, "spot": {"14"}}, http.StatusSeeOther)),
			{Name: "both on record", Who: Desk, Path: path, Status: http.StatusOK, Has: []string{"/items/" + other, "Its item was named", "Another item was named", "the label of the other one", "At spoke 14"}},
			{Name: "no longer on the first", Who: Desk, Path: "/items/" + wheel, Status: http.StatusOK, HasNot: []string{"CL31-00001"}},
			s.opened(t, Posted("decided", Desk, path, url.Values{"decision": {"reject"}, "reason": {"a blow"}}, http.StatusSeeOther)),
			{Name: "and moves no more", Who: Desk, Path: path, Status: http.StatusOK, HasNot: []string{"It is another item"}},
		})
	})
}

// The owner changes what is asked about a complaint: a claim keeps what it was
// asked, cautions stay, and the way back is one step.
func TestCheckListsByPages(t *testing.T) {
	Each(t, func(t *testing.T, s *Shop) {
		number, path := s.claimed(t), "/check-lists/spoke_broken"
		claim := "/claims/" + number
		own := func(from string, pairs ...string) url.Values {
			v := url.Values{"from": {from}, "otherwise": {"W08"}, "reason": {"the black ones were soft"}}
			for i := 0; i < len(pairs); i += 2 {
				v.Set(fmt.Sprintf("questions[%d].text", i/2), pairs[i])
				v.Set(fmt.Sprintf("questions[%d].yes", i/2), pairs[i+1])
			}
			return v
		}
		black := own("0", "Is it one of the black ones?", "W09", "", "", "Is a flange hole worn or cracked?", "W17")
		hot := own("0", "Was it left in the sun?", "P18")
		hot.Set("otherwise", "P11")
		s.Run(t, []Row{
			{Name: "the owner's", Who: Inspector, Path: "/check-lists", Status: http.StatusForbidden},
			{Name: "as shipped", Who: Owner, Path: "/check-lists", Status: http.StatusOK, Has: []string{"Every check list is as it was shipped", "A spoke broke", "It is hot, swollen or smells", "Is the rim dented or cracked? <b class=\"nw\">W15</b>"}},
			{Name: "the form", Who: Owner, Path: path, Status: http.StatusOK, Has: []string{"Is the rim dented or cracked?", `name="questions[0].yes"`}, HasNot: []string{"Back to the shipped list"}},
			{Name: "no such complaint", Who: Owner, Path: "/check-lists/sings", Status: http.StatusNotFound},
			Posted("without a reason", Owner, path, url.Values{"from": {"0"}, "otherwise": {"W08"}, "questions[0].text": {"Is it?"}, "questions[0].yes": {"W09"}}, http.StatusUnprocessableEntity, "Say why"),
			Posted("a yes that ends in nothing", Owner, path, own("0", "", "", "Is it?", ""), http.StatusUnprocessableEntity, `id="questions-1-yes-wrong"`),
			s.opened(t, Posted("asked before it was changed", Desk, claim, url.Values{"symptom": {"spoke_broken"}, "list": {"0"}, "yes_pulled_through": {"yes"}}, http.StatusSeeOther)),
			Posted("changed", Owner, path, black, http.StatusSeeOther),
			Posted("by somebody else meanwhile", Owner, path, black, http.StatusUnprocessableEntity),
			{Name: "asked now", Who: Desk, Path: claim + "?symptom=spoke_broken", Status: http.StatusOK, Has: []string{"Is it one of the black ones?", `name="list" value="1"`}, HasNot: []string{"Is the rim dented"}},
			s.opened(t, Posted("refused, it is asked the same again", Desk, claim, url.Values{"symptom": {"spoke_broken"}, "list": {"0"}, "yes_rim_cracked": {"yes"}, "amount": {"much"}, "currency": {"€"}}, http.StatusUnprocessableEntity, "Is the rim dented or cracked?", `name="list" value="0"`)),
			{Name: "what was asked stays", Who: Desk, Path: claim, Status: http.StatusOK, Has: []string{"Is the rim dented or cracked?", "Yes to “Is a spoke hole of the rim torn or bulged?”"}, HasNot: []string{"the black ones"}},
			s.opened(t, Posted("answered", Desk, claim, url.Values{"symptom": {"spoke_broken"}, "list": {"1"}, "yes_own1": {"yes"}}, http.StatusSeeOther)),
			{Name: "kept with its revision", Who: Desk, Path: claim, Status: http.StatusOK, Has: []string{"a spoke broke, revision 1. Yes to “Is it one of the black ones?”", "(W09)"}},
			{Name: "counted", Who: Owner, Path: "/check-lists", Status: http.StatusOK, Has: []string{"One check list is the shop’s own", "revision 1"}},
			Posted("an inspector does not go back", Inspector, path+"/restore", url.Values{}, http.StatusForbidden),
			Posted("back in one step", Owner, path+"/restore", url.Values{"from": {"1"}}, http.StatusSeeOther),
			{Name: "as shipped again, on record", Who: Owner, Path: path, Status: http.StatusOK, Has: []string{"Revision 2", "back to the shipped list", "the black ones were soft"}, HasNot: []string{`action="` + path + `/restore"`}},
			{Name: "its caution", Who: Owner, Path: "/check-lists/hot_or_swollen", Status: http.StatusOK, Has: []string{html.EscapeString(words.In("en").Caution("lithium_fire"))}},
			Posted("hot packs, asked otherwise", Owner, "/check-lists/hot_or_swollen", hot, http.StatusSeeOther),
			Posted("a hot pack", Desk, "/claims/new", url.Values{"words": {"it smells"}, "item": {s.Serial[models.KindPack]}}, http.StatusSeeOther),
			{Name: "keeps its caution", Who: Desk, Path: "/claims/CL31-00002?symptom=hot_or_swollen", Status: http.StatusOK, Has: []string{"Was it left in the sun?", html.EscapeString(words.In("en").Caution("lithium_fire"))}},
		})
	})
}

// One field finds a shipment, an order, and, only for who may, a customer.
func TestOneFieldFindsWhatWasShipped(t *testing.T) {
	Each(t, func(t *testing.T, s *Shop) {
		ctx, stamp, services := t.Context(), models.NewStamp(s.Shop.Owner, s.Now), s.App.Services
		s.MustRecord(s.Extremes())
		certificate, err := services.Release.Issue(ctx, s.Shop.Owner, s.Item[models.KindWheel].ID, "measured")
		s.Must(err)
		box := s.kitted(t)
		s.Run(t, []Row{
			{Name: "a shipment", Who: Operator, Path: "/find?q=" + strings.ToLower(box.number), Status: http.StatusSeeOther, Headers: map[string]string{"Location": "/shipments/" + box.number}},
			{Name: "an order", Who: Operator, Path: "/find?q=4471", Status: http.StatusSeeOther, Headers: map[string]string{"Location": "/shipments/" + box.number}},
			{Name: "a name, for the desk", Who: Desk, Path: "/find?q=brenn", Status: http.StatusOK, Has: []string{"Ada Brenn", "/customers/" + box.customer}},
			{Name: "a name, for nobody else", Who: Operator, Path: "/find?q=brenn", Status: http.StatusNotFound, HasNot: []string{"Ada", "customer"}},
			{Name: "nor at a tablet", Who: InspectorAtStand, Path: "/find?q=brenn", Status: http.StatusNotFound, HasNot: []string{"Ada"}},
		})
		_, err = services.Shipping.AddOrder(ctx, s.Shop.Owner, models.Order{Ref: "w26000052", Lines: []models.OrderLine{{Product: box.product, Quantity: 1}}})
		s.Must(err)
		s.Must(s.Store.AddLot(ctx, stamp, models.Lot{ID: models.NewID(), Code: "SP-0214", Material: "spokes", ReceivedAt: s.Now}))
		called, err := services.Recall.Make(ctx, s.Shop.Owner, recall.NewRecall{Ask: recall.Ask{Part: s.Serial[models.KindWheel]}, Reason: "a cracked rim"})
		s.Must(err)
		to := func(name, typed, path string) Row {
			return Row{Name: name, Who: Operator, Path: "/find?q=" + url.QueryEscape(typed), Status: http.StatusSeeOther, Headers: map[string]string{"Location": path}}
		}
		s.Run(t, []Row{
			to("the box label, scanned", "]C0"+box.number, "/shipments/"+box.number),
			to("an order that waits, spelled like a misread serial", "W26000052", "/orders#order-w26000052"),
			to("a lot in small letters", "sp-0214", "/lots/SP-0214"),
			to("the number on a certificate", strings.ToLower(certificate.Number), "/certificates/"+certificate.Number+"/1"),
			to("a recall", called.Number, "/recalls/"+called.Number),
			Posted("a claim by the last five", Desk, "/claims/new", url.Values{"words": {"it ticks"}, "item": {s.Serial[models.KindWheel][4:]}}, http.StatusSeeOther),
			{Name: "a recall by the last five", Who: Inspector, Path: "/recalls/new?part=" + s.Serial[models.KindWheel][4:], Status: http.StatusOK, Has: []string{"1 item with part"}},
			{Name: "a misread serial that is nothing else", Who: Operator, Path: "/find?q=W26000053", Status: http.StatusUnprocessableEntity, Has: []string{"mistyped"}},
			{Name: "the order on its page", Who: Operator, Path: "/orders", Status: http.StatusOK, Has: []string{`id="order-w26000052"`}},
		})
		looks, err := s.Store.LooksAt(ctx, box.customer, 9)
		s.Must(err)
		if len(looks) == 0 || looks[0].PersonID != s.People[Desk].ID {
			t.Errorf("the look at a customer was recorded as %+v", looks)
		}
	})
}

// What is typed of a claim stays, whatever else is pressed: another check list keeps
// nothing and shows all of it, a photo is kept and leaves it, and both ways out keep it.
func TestWhatIsTypedOfAClaimStays(t *testing.T) {
	Each(t, func(t *testing.T, s *Shop) {
		path := "/claims/" + s.claimed(t)
		s.Must(s.Store.SetSetting(t.Context(), models.NewStamp(s.Shop.Owner, s.Now), models.SettingHourlyRate, "60"))
		s.Must(s.Store.SetSetting(t.Context(), models.NewStamp(s.Shop.Owner, s.Now), models.SettingRateCurrency, "EUR"))
		typed := func(more url.Values) url.Values {
			values := url.Values{"spot": {"at the valve"}, "decision": {"reject"}, "reason": {"a blow from a kerb"}, "amount": {"12,5"}, "currency": {"CHF"}, "came_on": {"2031-05-11"}}
			for name, v := range more {
				values[name] = v
			}
			return values
		}
		stays := []string{`value="at the valve"`, `value="reject" checked`, "a blow from a kerb</textarea>", `value="12,5"`, `value="CHF"`, `value="2031-05-11"`}
		events := func(want int) {
			t.Helper()
			v, err := s.App.Services.Claims.Claim(t.Context(), strings.TrimPrefix(path, "/claims/"))
			s.Must(err)
			if len(v.Events) != want {
				t.Errorf("%d events, want %d", len(v.Events), want)
			}
		}
		s.run(t, Row{Name: "the shop's own currency", Who: Desk, Path: path, Status: http.StatusOK, Has: []string{`name="currency" type="text" value="EUR"`, "Save, back to all claims"}, HasNot: []string{"Keep for later"}})
		s.run(t, s.opened(t, Posted("another check list", Desk, path, typed(url.Values{"show": {"yes"}, "list_of": {"spoke_broken"}, "symptom": {""}}), http.StatusOK, append(stays, "Is a flange hole worn or cracked?")...)))
		events(1)
		row := Row{Name: "a photo", Who: Desk, Method: http.MethodPost, Path: path + "/photos", Status: http.StatusOK, Has: append(stays, "spoke.png", "The paper is kept.")}
		var body bytes.Buffer
		form := multipart.NewWriter(&body)
		for name, v := range typed(url.Values{"from": {"x"}}) {
			s.Must(form.WriteField(name, v[0]))
		}
		part, err := form.CreateFormFile("file", "spoke.png")
		s.Must(err)
		_, err = part.Write(dot(t))
		s.Must(err)
		s.Must(form.Close())
		row.Body, row.Header = body.Bytes(), map[string]string{"Content-Type": form.FormDataContentType()}
		s.run(t, row)
		events(1)
		kept := s.opened(t, Posted("kept for later", Desk, path, typed(url.Values{"then": {"list"}}), http.StatusSeeOther))
		kept.Headers = map[string]string{"Location": "/claims?done=changed"}
		s.run(t, kept)
		events(5)
	})
}
