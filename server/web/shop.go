package web

import (
	"fmt"
	"net/http"
	"strings"

	"github.com/gin-gonic/gin"

	"tracewright/models"
	"tracewright/models/work/shop"
	"tracewright/server/httpx"
)

// ShopPage holds what the workshop says about itself, as its papers print it.
type ShopPage struct {
	Frame
	Answer   string
	From     string // what they were when the page was opened
	Fields   []Field
	Problems Problems
}

func (s *site) shopPage(c *gin.Context) error { return s.showShop(c, http.StatusOK, nil) }

func (s *site) showShop(c *gin.Context, status int, problem error) error {
	now, err := s.services.Shop.Settings(c.Request.Context())
	if err != nil {
		return err
	}
	values := map[string]string{"name": now.Name, "address": now.Address, "time_zone": now.TimeZone, "public_address": now.PublicAddress, "label_size": now.LabelSize, "paper_language": now.PaperLanguage, "warranty_months": now.WarrantyMonths, "hourly_rate": now.HourlyRate, "rate_currency": now.RateCurrency, "claim_days": now.ClaimDays, "chart_alarms": now.ChartAlarms, "lock_minutes": now.LockMinutes, "retention_months": now.RetentionMonths}
	if now.SecondSecret {
		values["second_secret"] = "yes"
	}
	if now.LookReason {
		values["look_reason"] = "yes"
	}
	if now.BlockOverdue {
		values["block_overdue"] = "yes"
	}
	for _, what := range now.SecondPerson {
		values["second_person_"+what] = "yes"
	}
	f, from := filled(values), now.Digest
	if problem != nil {
		f, from = posted(c, problem), c.PostForm("from")
	}
	page := ShopPage{From: from, Frame: s.frame(c, "The shop", "/shop"), Answer: now.Name, Fields: shopFields(f)}
	if x := s.secretAt(c, f, "confirm-password"); x != nil && f.asked(x.Name) {
		page.Fields = append(page.Fields, *x)
	}
	if now.Name == "" {
		page.Answer = "The shop has no name yet"
	}
	page.Problems = f.summary()
	return send(c, status, "shop", page)
}

func shopFields(f *form) []Field {
	fields := []Field{
		f.field(Field{Name: "name", Label: "Name", Hint: "As it stands at the head of every certificate."}),
		f.field(Field{Name: "address", Label: "Address", Kind: "text area", Optional: true}),
		f.field(Field{Name: "time_zone", Label: "Time zone", Hint: "Europe/Lisbon, America/Bogota: it governs dates, weeks and the year in serials."}),
		f.field(Field{Name: "label_size", Label: "Usual label", Kind: "select", Choices: labelSizes(), Hint: "What one tap on an item’s page prints."}),
		f.field(Field{Name: "paper_language", Label: "Language of paper", Kind: "select", Width: "w4", Choices: paperLanguages(), Hint: "Of certificates and packing lists. Another can be chosen for each certificate."}),
		f.field(Field{Name: "warranty_months", Label: "Warranty", Mode: "numeric", Width: "w4", Unit: "months", Hint: "From the day of shipment on."}),
		f.field(Field{Name: "hourly_rate", Label: "What an hour at a stand costs", Mode: "decimal", Width: "w4", Optional: true, Hint: "Minutes after a first set are priced by it. Without it only what claims cost is counted."}),
		f.field(Field{Name: "rate_currency", Label: "Currency", Width: "w4", Optional: true, Hint: "As it is written at claims: EUR."}),
		f.field(Field{Name: "claim_days", Label: "Claims are answered within", Mode: "numeric", Width: "w4", Unit: "working days", Hint: "Later ones stand among what needs attention."}),
		f.field(Field{Name: "chart_alarms", Label: "False alarms of the control charts", Mode: "decimal", Width: "w4", Unit: "a month", Hint: "Of all watched charts together. Fewer make the limits wider, and real changes are seen later."}),
		f.field(Field{Name: "public_address", Label: "Public address", Kind: "url", Optional: true, Hint: "Where buyers look certificates up, such as https://shop.example/check. It is printed on those issued from now on."}),
		f.field(Field{Name: "lock_minutes", Label: "A stand locks, and an office session ends, after", Mode: "numeric", Width: "w4", Unit: "minutes", Hint: "Without a hand at it. What was typed stays."}),
		f.field(Field{Name: "second_secret", Label: "Ask desk and owner for a second factor beside the password", Kind: "check", Hint: "A code of an authenticator. Whoever has none sets it up at the next sign-in; set up your own first."}),
		f.field(Field{Name: "retention_months", Label: "Customers are kept for", Mode: "numeric", Width: "w4", Unit: "months", Optional: true, Hint: "After their last order, shipment or claim. Then they stand among what needs attention; nothing is erased by itself."}),
		f.field(Field{Name: "look_reason", Label: "Ask why at each look at a customer", Kind: "check"}),
		f.field(Field{Name: "block_overdue", Label: "Judge nothing by a gauge that is past its calibration day", Kind: "check", Hint: "Its readings are kept all the same. Otherwise they are judged, flagged and printed as such."}),
	}
	for i, what := range models.SecondPersons {
		x := Field{Name: "second_person_" + what, Label: english.SecondPerson(what), Kind: "check", Width: "w6"}
		if i == 0 {
			x.Hint = "Another person than the one who decided or did it. All off until you say so."
		}
		fields = append(fields, f.field(x))
	}
	return fields
}

func (s *site) setShop(c *gin.Context) error {
	text := func(name string) string { return strings.TrimSpace(c.PostForm(name)) }
	var second []string
	for _, what := range models.SecondPersons {
		if text("second_person_"+what) == "yes" {
			second = append(second, what)
		}
	}
	demands := text("second_secret") == "yes"
	if err := s.mayDemand(c, demands); answerable(err) {
		return s.showShop(c, http.StatusUnprocessableEntity, err)
	} else if err != nil {
		return err
	}
	err := s.services.Shop.Set(c.Request.Context(), httpx.Actor(c), shop.Settings{Digest: c.PostForm("from"), SecondSecret: demands, LockMinutes: text("lock_minutes"), RetentionMonths: text("retention_months"), Name: text("name"), Address: text("address"), TimeZone: text("time_zone"), PublicAddress: text("public_address"), LookReason: text("look_reason") == "yes", BlockOverdue: text("block_overdue") == "yes", SecondPerson: second, LabelSize: text("label_size"), PaperLanguage: text("paper_language"), WarrantyMonths: text("warranty_months"), HourlyRate: text("hourly_rate"), RateCurrency: text("rate_currency"), ClaimDays: text("claim_days"), ChartAlarms: text("chart_alarms")})
	if answerable(err) {
		return s.showShop(c, http.StatusUnprocessableEntity, err)
	}
	if err != nil {
		return err
	}
	if err := s.services.Access.EndWithoutSecond(c.Request.Context(), httpx.Actor(c)); err != nil {
		return err
	}
	s.services.Monitor.Reconsider() // The budget of the charts may be another.
	return redirect(c, "/shop", "changed")
}

// mayDemand refuses to ask everybody for a second factor as long as whoever does so
// has none, and asks for the password before that is switched. A page that others
// saved behind is told so first.
func (s *site) mayDemand(c *gin.Context, demands bool) error {
	now, err := s.services.Shop.Settings(c.Request.Context())
	if err != nil {
		return err
	}
	if c.PostForm("from") != now.Digest {
		return fmt.Errorf("settings of the shop: %w", models.ErrStale)
	}
	if demands != now.SecondSecret {
		if err := s.confirm(c); err != nil {
			return err
		}
	}
	if !demands {
		return nil
	}
	second, err := s.services.Access.Second(c.Request.Context(), httpx.Actor(c).PersonID)
	if err == nil && !second.Set {
		err = models.Invalid("second_secret", "second_own_first")
	}
	return err
}
