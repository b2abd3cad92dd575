package servertest

import (
	"net/http"
	"net/url"
	"strings"
	"testing"
)

// A new model of block is asked first what it is made of, so that the figures beside
// its limits are those of such a block. Each line that is left empty takes its own
// usual figure, however many others were typed; only "none" says that there is none.
// Figures are those of the table in models/trade/pack/specification.go, whose origins
// stand with it.
func TestEachEmptyLimitOfABlockTakesItsUsualFigure(t *testing.T) {
	Each(t, func(t *testing.T, s *Shop) {
		family := s.blockModel(t).FamilyID
		add := "/families/" + family + "/products/new"
		limit := func(code string) string { return "form.block.limits." + code }
		lithium := add + "?form.block.chemistry=li_ion&form.block.cells=1"
		s.Run(t, []Row{
			{Name: "the kind is asked first", Who: Owner, Path: add, Status: http.StatusOK, Has: []string{`value="agm" selected`, `name="form.block.cells" type="text" value="6"`}, HasNot: []string{"Usual 12.60"}},
			{Name: "the usual figures are those of the kind", Who: Owner, Path: lithium, Status: http.StatusOK, Has: []string{"Usual 3.55\u00a0V", "Usual 2.50\u00a0V", ">MΩ<", ">Ω/V<"}, HasNot: []string{"Usual 12.60", "Usual 11.80", "MOhm", "ohm/V"}},
			{Name: "no block has so many cells", Who: Owner, Path: add + "?form.block.chemistry=agm&form.block.cells=60", Status: http.StatusOK, Has: []string{"Must be at most 24.", `name="form.block.cells"`}, HasNot: []string{`name="form.block.supplier"`}},
		})
		post := map[string]string{"Content-Type": "application/x-www-form-urlencoded"}
		_, _, page := s.Do(t, Row{Who: Owner, Path: add + "?form.block.chemistry=agm&form.block.cells=6"})
		form := formOf(page)
		for name, value := range map[string]string{"name": "Halden 12-22", "form.block.supplier": "Halden", "form.block.model": "12-22", limit("block_age_max_days"): "300", limit("maker_ocv_min_v"): "None"} {
			form.Set(name, value)
		}
		status, header, answer := s.Do(t, Row{Who: Owner, Method: http.MethodPost, Path: add, Header: post, Body: form.Encode()})
		if status != http.StatusSeeOther {
			t.Fatalf("the model is not added: %d %s", status, answer)
		}
		product, _, _ := strings.Cut(header.Get("Location"), "?")
		revise := product + "/revise"
		has := func(want map[string]string) {
			t.Helper()
			r, err := s.Store.ProductForm(t.Context(), strings.TrimPrefix(product, "/products/"))
			s.Must(err)
			for code, figure := range want {
				if got, there := r.Form.Block.Limits[code]; !there || got != figure {
					t.Errorf("%s is %q, want %q", code, got, figure)
				}
			}
		}
		has(map[string]string{"block_age_max_days": "300", "maker_ocv_min_v": "", "incoming_ocv_min_v": "12.60", "scrap_below_v": "11.80", "rest_min_h": "24", "spread_ocv_a_v": "0.050", "k_reject_mv_day": "5", "insulation_new_min_mohm": "1"})

		s.Run(t, []Row{{Name: "the product says that there is none", Who: Owner, Path: product, Status: http.StatusOK, Has: []string{"none"}, HasNot: []string{"none\u00a0V"}}})
		_, _, page = s.Do(t, Row{Who: Owner, Path: revise})
		form = formOf(page)
		if got := form.Get(limit("maker_ocv_min_v")); got != "none" {
			t.Errorf("the form shows %q where there is no limit", got)
		}
		change := func(values map[string]string, confirmed string) string {
			sent := url.Values{}
			for k, v := range form {
				sent[k] = v
			}
			for k, v := range values {
				sent.Set(k, v)
			}
			sent.Set("reason", "the maker's sheet")
			sent.Set("confirmed", confirmed)
			return sent.Encode()
		}
		emptied := map[string]string{limit("block_age_max_days"): "", limit("scrap_below_v"): "none"}
		s.Run(t, []Row{
			{Name: "what changes is what will stand", Who: Owner, Method: http.MethodPost, Path: revise, Header: post, Body: change(emptied, ""), Status: http.StatusOK, Has: []string{"365", "none"}, HasNot: []string{"nothing"}},
			{Name: "revised", Who: Owner, Method: http.MethodPost, Path: revise, Header: post, Body: change(emptied, "yes"), Status: http.StatusSeeOther},
		})
		has(map[string]string{"block_age_max_days": "365", "scrap_below_v": "", "maker_ocv_min_v": "", "incoming_ocv_min_v": "12.60"})
	})
}
