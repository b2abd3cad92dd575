package servertest

import (
	"net/http"
	"net/url"
	"strings"
	"testing"

	"tracewright/models"
	"tracewright/models/trade/ident"
	"tracewright/models/work/receive"
)

// A wheel laced by scans, its motor swapped by form, and what each refusal says.
func TestLacedAndSwapped(t *testing.T) {
	Each(t, func(t *testing.T, s *Shop) {
		goods := receive.New(s.Store, s.Clock, s.App.Services.Zone)
		for code, material := range map[string]string{"SP-0214": "spokes", "RM-0077": "rim", "BL-1": "blocks"} {
			_, err := goods.AddLot(t.Context(), s.Shop.Owner, models.Lot{Code: code, Material: material, Quantity: 40})
			s.Must(err)
		}
		_, err := goods.AddLot(t.Context(), s.Shop.Owner, models.Lot{Code: "SP-0215", Material: "spokes"})
		s.Must(err)
		_, err = goods.Decide(t.Context(), s.Shop.Owner, receive.Decided{Lot: "SP-0215", Decision: models.LotQuarantine, Reason: "bent"})
		s.Must(err)
		product := *s.Item[models.KindWheel].ProductID
		form := func(pairs ...string) url.Values {
			v := url.Values{"id": {models.NewID()}, "product": {product}}
			for i := 0; i+1 < len(pairs); i += 2 {
				v.Set(pairs[i], pairs[i+1])
			}
			return v
		}
		lace := func(name string, status int, values url.Values, has ...string) Row {
			return Posted(name, Operator, "/lace", values, status, has...)
		}
		s.Run(t, []Row{
			{Name: "which wheel", Who: Operator, Path: "/lace", Status: http.StatusOK, Has: []string{"Which wheel?", "wheel one"}},
			{Name: "nothing laced", Who: Operator, Path: "/lace?product=" + product, Status: http.StatusOK, Has: []string{"No wheel laced today"}},
			lace("a lot scanned", http.StatusSeeOther, form("motor", "SP-0214", "rim", "RM-0077")),
			lace("a lot of no use", http.StatusUnprocessableEntity, form("motor", "BL-1"), "holds nothing that goes into a wheel"),
			lace("a lot that is set aside", http.StatusUnprocessableEntity, form("motor", "SP-0215", "spokes_a", "SP-0214"), "Lot SP-0215 is set aside", `value="SP-0214"`),
			lace("a motor of no make", http.StatusUnprocessableEntity, form("motor", "N9-1", "spokes_a", "SP-0214"), "say its supplier and model", "Its supplier"),
			lace("with its make", http.StatusSeeOther, form("motor", "N9-1", "supplier", "Norvik", "model", "R9", "spokes_a", "SP-0214", "spokes_b", "SP-0214")),
			lace("the same motor again", http.StatusUnprocessableEntity, form("motor", "N9-1"), "already: take it out there first"),
			lace("more spokes than there are", http.StatusUnprocessableEntity, form("motor", "N9-2", "supplier", "Norvik", "model", "R9", "spokes_a", "SP-0214"), "14 more than the lot SP-0214 has (40)", "Why more than the lot has"),
			lace("and why, for a lot that is set aside", http.StatusUnprocessableEntity, form("motor", "N9-2", "supplier", "Norvik", "model", "R9", "spokes_a", "SP-0215", "reason", "a second bag"), "Lot SP-0215 is set aside", `value="a second bag"`, `value="Norvik"`),
			lace("and why", http.StatusSeeOther, form("motor", "N9-2", "supplier", "Norvik", "model", "R9", "spokes_a", "SP-0214", "reason", "a second bag")),
			// 40 came; the two wheels took 36 and then 18 of them.
			{Name: "the balance says so", Who: Desk, Path: "/lots/SP-0214", Status: http.StatusOK, Has: []string{"14 more were used than came: why?", "Said at W31-00003-C: a second bag."}},
			{Name: "two laced", Who: Operator, Path: "/lace?product=" + product, Status: http.StatusOK, Has: []string{"Two wheels laced today"}},
		})
		_, header, _ := s.Do(t, lace("", 0, form("motor", "SP-0214", "rim", "RM-0077")))
		if to := header.Get("Location"); !strings.Contains(to, "rim=RM-0077") || !strings.Contains(to, "spokes_a=SP-0214") || !strings.Contains(to, "spokes_b=SP-0214") {
			t.Errorf("after a scanned lot: %s", to)
		}

		motors, err := s.Store.ItemsByMakerNumber(t.Context(), "N9-1", 2)
		s.Must(err)
		fitted, err := s.Store.FittedInto(t.Context(), motors[0].ID)
		s.Must(err)
		wheel, err := s.Store.Item(t.Context(), fitted[0].ItemID)
		s.Must(err)
		_, err = goods.AddPart(t.Context(), s.Shop.Owner, receive.NewPart{Kind: models.KindMotor, Supplier: "Norvik", Model: "R9", MakerNumber: "N9-3"})
		s.Must(err)
		out := "/items/" + *wheel.Serial + "/parts/" + fitted[0].ID
		s.Run(t, []Row{
			{Name: "what is in it", Who: Operator, Path: "/items/" + *wheel.Serial + "/parts", Status: http.StatusOK, Has: []string{"Three entries say what is in it", "N9-1", "18 of lot"}},
			{Name: "the form", Who: Operator, Path: out, Status: http.StatusOK, Has: []string{"Take out: motor, N9-1 Norvik R9", "In its place"}},
			Posted("nothing said", Operator, out, url.Values{"named": {"N9-3"}}, http.StatusUnprocessableEntity, "This is needed."),
			Posted("another that is in a wheel", Operator, out, url.Values{"code": {"worn"}, "fate": {"scrap"}, "named": {"N9-2"}}, http.StatusUnprocessableEntity, "already: take it out there first"),
			Posted("swapped", Operator, out, url.Values{"code": {"worn"}, "fate": {"scrap"}, "reason": {"bearing rough"}, "named": {"N9-3"}}, http.StatusSeeOther),
			{Name: "it is gone", Who: Operator, Path: out, Status: http.StatusNotFound},
			{Name: "on its page", Who: Desk, Path: "/items/" + *wheel.Serial, Status: http.StatusOK, Has: []string{"Taken out", "worn (bearing rough); scrapped", "N9-3"}, HasNot: []string{"Take out, swap, put in"}},
			Posted("put in by hand", Operator, "/items/"+*wheel.Serial+"/parts", url.Values{"named": {"RM-0077"}, "role": {"rim"}}, http.StatusSeeOther),
			Posted("a wheel into itself", Operator, "/items/"+*wheel.Serial+"/parts", url.Values{"named": {*wheel.Serial}, "role": {"motor"}}, http.StatusUnprocessableEntity, "would be built into itself"),
			Posted("one motor at two places", Operator, "/items/"+s.Serial[models.KindWheel]+"/parts", url.Values{"named": {"N9-3"}, "role": {"motor"}}, http.StatusUnprocessableEntity, "N9-3 is in "+ident.Print(*wheel.Serial)+" already: take it out there first"),
			Posted("a label of another kind", Operator, "/items/"+*wheel.Serial+"/parts", url.Values{"named": {"(01)09521234500018(10)A-1"}, "role": {"rim"}}, http.StatusUnprocessableEntity),
			Posted("put in nothing", Operator, "/items/"+*wheel.Serial+"/parts", url.Values{"role": {"rim"}}, http.StatusUnprocessableEntity),
			Posted("pieces in words", Operator, "/items/"+*wheel.Serial+"/parts", url.Values{"named": {"RM-0077"}, "role": {"rim"}, "quantity": {"two"}}, http.StatusUnprocessableEntity, "is not a number"),
		})
	})
}
