package web

import (
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
	Fields   []Field
	Problems Problems
}

func (s *site) shopPage(c *gin.Context) error { return s.showShop(c, http.StatusOK, nil) }

func (s *site) showShop(c *gin.Context, status int, problem error) error {
	now, err := s.services.Shop.Settings(c.Request.Context())
	if err != nil {
		return err
	}
	values := map[string]string{"name": now.Name, "address": now.Address, "time_zone": now.TimeZone, "public_address": now.PublicAddress, "label_size": now.LabelSize, "paper_language": now.PaperLanguage, "warranty_months": now.WarrantyMonths, "chart_alarms": now.ChartAlarms}
	if now.LookReason {
		values["look_reason"] = "yes"
	}
	if now.BlockOverdue {
		values["block_overdue"] = "yes"
	}
	for _, what := range now.SecondPerson {
		values["second_person_"+what] = "yes"
	}
	f := filled(values)
	if problem != nil {
		f = posted(c, problem)
	}
	page := ShopPage{Frame: s.frame(c, "The shop", "/shop"), Answer: now.Name, Fields: shopFields(f)}
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
		f.field(Field{Name: "paper_language", Label: "Language of certificates", Kind: "select", Width: "w4", Choices: paperLanguages(), Hint: "Another one can be chosen for each."}),
		f.field(Field{Name: "warranty_months", Label: "Warranty", Mode: "numeric", Width: "w4", Unit: "months", Hint: "From the day of shipment on."}),
		f.field(Field{Name: "chart_alarms", Label: "False alarms of the control charts", Mode: "decimal", Width: "w4", Unit: "a month", Hint: "Of all watched charts together. Fewer make the limits wider, and real changes are seen later."}),
		f.field(Field{Name: "public_address", Label: "Public address", Kind: "url", Optional: true, Hint: "Where buyers look certificates up, such as https://shop.example/check. It is printed on those issued from now on."}),
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
	err := s.services.Shop.Set(c.Request.Context(), httpx.Actor(c), shop.Settings{Name: text("name"), Address: text("address"), TimeZone: text("time_zone"), PublicAddress: text("public_address"), LookReason: text("look_reason") == "yes", BlockOverdue: text("block_overdue") == "yes", SecondPerson: second, LabelSize: text("label_size"), PaperLanguage: text("paper_language"), WarrantyMonths: text("warranty_months"), ChartAlarms: text("chart_alarms")})
	if answerable(err) {
		return s.showShop(c, http.StatusUnprocessableEntity, err)
	}
	if err != nil {
		return err
	}
	s.services.Monitor.Reconsider() // The budget of the charts may be another.
	return redirect(c, "/shop", "changed")
}
