package servertest

import (
	"fmt"
	"net/http"
	"net/url"
	"regexp"
	"testing"

	"tracewright/models"
	"tracewright/models/work/stock"
)

// takeIn takes n good blocks of a model in, H12-1 and so on.
func (s *Shop) takeIn(model models.Product, n int) []stock.Taken {
	s.Helper()
	d := stock.Delivery{Model: model.ID, Stage: models.Incoming, MeasuredAt: s.Now, Conditions: models.Conditions{RestHours: "72"}, Temperature: "25", Gauges: stock.Gauges{Voltage: "V-1", Resistance: "R-1", Temperature: "H-1"}, Method: models.ResistanceAC}
	d.Lot = "BL-77"
	s.Must(s.Store.AddLot(s.Context(), models.NewStamp(s.Shop.Owner, s.Now), models.Lot{ID: models.NewID(), Code: d.Lot, Material: "blocks", ReceivedAt: s.Now, ReceivedBy: s.Shop.Owner.PersonID}))
	for i := range n {
		d.Rows = append(d.Rows, stock.Row{ID: models.NewID(), Number: fmt.Sprintf("H12-%d", i+1), Voltage: fmt.Sprintf("12.%d", 880+2*i), Resistance: fmt.Sprintf("14.%d", 10+5*i)})
	}
	taken, err := s.App.Services.Stock.TakeIn(s.Context(), s.Shop.Operator, d)
	s.Must(err)
	return taken
}

// stock77 is a stock of blocks with a match of it.
type stock77 struct {
	model, packs models.Product
	block, match string // keys of one block and of the match
}

// stocked makes one: five blocks, packs of two.
func (s *Shop) stocked(t *testing.T) stock77 {
	t.Helper()
	out := stock77{model: s.blockModel(t)}
	packs, err := s.App.Services.Specify.AddProduct(t.Context(), s.Shop.Owner, packOfTwo(*s.Item[models.KindPack].FamilyID, out.model.ID))
	s.Must(err)
	out.packs = packs.Product
	out.block = s.takeIn(out.model, 5)[4].Blocks[0].ID
	match, err := s.App.Services.Stock.Propose(t.Context(), s.Shop.Operator, stock.Ask{Product: out.packs.ID})
	s.Must(err)
	out.match = match.ID
	return out
}

// The pages of the stock by their plain forms: blocks set aside and released,
// packs proposed, a block refused and another taken for a reason, the match kept
// and dropped; and who may do none of it.
func TestTheStockOnItsPages(t *testing.T) {
	Each(t, func(t *testing.T, s *Shop) {
		form := func(name, who, path string, values url.Values, status int, says ...string) Row {
			return Row{Name: name, Who: who, Method: http.MethodPost, Path: path, Status: status, Has: says, Header: map[string]string{"Content-Type": "application/x-www-form-urlencoded"}, Body: values.Encode()}
		}
		s.Run(t, []Row{{Name: "no model yet", Who: Owner, Path: "/blocks", Status: http.StatusOK, Has: []string{"No model of block", "Add a family"}},
			{Name: "nothing to match", Who: Operator, Path: "/match", Status: http.StatusOK, Has: []string{"name the block model"}}})
		model := s.blockModel(t)
		packs, err := s.App.Services.Specify.AddProduct(t.Context(), s.Shop.Owner, packOfTwo(*s.Item[models.KindPack].FamilyID, model.ID))
		s.Must(err)
		taken := s.takeIn(model, 5)
		id := func(n int) string { return taken[n-1].Blocks[0].ID }
		product := url.Values{"product": {packs.Product.ID}}
		with := func(more ...string) url.Values {
			v := url.Values{"product": {packs.Product.ID}}
			for i := 0; i < len(more); i += 2 {
				v.Set(more[i], more[i+1])
			}
			return v
		}
		s.Run(t, []Row{
			{Name: "the stock", Who: Desk, Path: "/blocks?model=" + model.ID, Status: http.StatusOK, Has: []string{"5 of 5 blocks may go", "H12-3", "BL-77"}, HasNot: []string{"Set aside", "Match into packs"}},
			{Name: "an unknown model", Who: Desk, Path: "/blocks?model=x", Status: http.StatusUnprocessableEntity},
			{Name: "its lot", Who: Desk, Path: "/blocks/lots/BL-77", Status: http.StatusOK, Has: []string{"two readings", "Not compared"}, HasNot: []string{"Set aside all"}},
			{Name: "an unknown lot", Who: Desk, Path: "/blocks/lots/BL-78", Status: http.StatusNotFound},
			{Name: "the page that takes them in", Who: OperatorAtStand, Path: "/blocks/in?model=" + model.ID, Status: http.StatusOK, Has: []string{"data-given", "Halden 12-12", "BL-77"}},
			{Name: "not for the desk", Who: Desk, Path: "/blocks/in", Status: http.StatusForbidden},
			{Name: "one block", Who: Operator, Path: "/items/" + id(5), Status: http.StatusOK, Has: []string{"H12-5", "Within every limit", "Set aside"}},
			{Name: "its form", Who: Operator, Path: "/blocks/set-aside?block=" + id(5), Status: http.StatusOK, Has: []string{"H12-5", "Loses charge", "at the bench"}},
			form("no reason", Operator, "/blocks/set-aside?block="+id(5), url.Values{"code": {"other"}}, http.StatusUnprocessableEntity, "Nothing was saved"),
			form("set aside", Operator, "/blocks/set-aside?block="+id(5), url.Values{"code": {"damaged"}, "reason": {"a dent"}}, http.StatusSeeOther),
			form("set aside twice", Operator, "/blocks/set-aside?block="+id(5), url.Values{"code": {"damaged"}}, http.StatusUnprocessableEntity, "set aside already"),
			{Name: "it says so", Who: Operator, Path: "/items/" + id(5), Status: http.StatusOK, Has: []string{"Set aside: damaged", "A dent"}},
			form("an operator releases none", Operator, "/blocks/release?block="+id(5), url.Values{"code": {"no_fault_found"}, "reason": {"paint"}}, http.StatusForbidden),
			form("nothing confirms it", InspectorAtStand, "/blocks/release?block="+id(5), url.Values{"code": {"no_fault_found"}, "reason": {"paint"}}, http.StatusUnprocessableEntity, "Your PIN"),
			form("no reason to release", InspectorAtStand, "/blocks/release?block="+id(5), url.Values{"code": {"no_fault_found"}, "confirm.pin": {PIN}}, http.StatusUnprocessableEntity),
			{Name: "the whole lot", Who: Operator, Path: "/blocks/set-aside?lot=BL-77", Status: http.StatusOK, Has: []string{"4 blocks of lot BL-77"}},
			{Name: "none is flagged", Who: Operator, Path: "/blocks/set-aside?lot=BL-77&flagged=yes", Status: http.StatusOK, Has: []string{"None of them lies loose"}},
			{Name: "which packs", Who: Operator, Path: "/match", Status: http.StatusOK, Has: []string{"24 V of two"}},
			form("too many", Operator, "/match", with("count", "9"), http.StatusUnprocessableEntity, "4 blocks are offered, 18 are needed"),
			form("no count", Operator, "/match", with("count", "many"), http.StatusUnprocessableEntity, "not a number"),
			form("the desk makes none", Desk, "/match", product, http.StatusForbidden),
			form("by hand", Operator, "/match", with("by", "hand"), http.StatusSeeOther),
		})
		status, header, _ := s.Do(t, form("", Operator, "/match", product, 0))
		match := header.Get("Location")
		if status != http.StatusSeeOther || !regexp.MustCompile(`^/match/[0-9a-f-]{36}$`).MatchString(match) {
			t.Fatalf("proposed: status %d, to %q", status, match)
		}
		s.Run(t, []Row{
			{Name: "the proposal", Who: Desk, Path: match, Status: http.StatusOK, Has: []string{"Two packs of two", "Scan for pack 1, position 1", "no choice of as many packs costs less", "set aside: a dent"}, HasNot: []string{"Keep:"}},
			{Name: "it is open", Who: Operator, Path: "/match", Status: http.StatusOK, Has: []string{match}},
			form("one that is set aside", Operator, match+"/place", url.Values{"block": {"H12-5"}}, http.StatusUnprocessableEntity, "Refused", "H12-5 cannot go in"),
			form("one that is set aside, for a reason", Operator, match+"/place", url.Values{"block": {"H12-5"}, "override": {"in a hurry"}}, http.StatusUnprocessableEntity, "H12-5 cannot go in"),
			form("nobody's", Operator, match+"/place", url.Values{"block": {"H99"}}, http.StatusUnprocessableEntity, "No part has the number H99"),
			form("kept too early", Operator, match+"/keep", url.Values{}, http.StatusUnprocessableEntity, "4 blocks are to be scanned, H12-1 next"),
			form("no reason to drop it", Operator, match+"/drop", url.Values{}, http.StatusUnprocessableEntity),
		})
		expected := regexp.MustCompile(`<b class="mono">(H12-\d)</b>`)
		for n := range 4 {
			_, _, body := s.Do(t, Row{Who: Operator, Path: match})
			next := expected.FindSubmatch(body)
			if next == nil {
				t.Fatalf("place %d: no block is asked for", n+1)
			}
			s.Run(t, []Row{form(fmt.Sprintf("place %d", n+1), OperatorAtStand, match+"/place", url.Values{"block": {"]C0" + string(next[1])}}, http.StatusSeeOther)})
		}
		s.Run(t, []Row{
			{Name: "all lie in place", Who: Operator, Path: match, Status: http.StatusOK, Has: []string{"All scanned", "Keep two packs"}},
			form("scanned once more", OperatorAtStand, match+"/place", url.Values{"block": {"H12-1"}}, http.StatusUnprocessableEntity, "H12-1 lies in its place already", "All scanned"),
			form("kept", Operator, match+"/keep", url.Values{}, http.StatusSeeOther),
			form("kept twice", Operator, match+"/keep", url.Values{}, http.StatusSeeOther),
			{Name: "two packs", Who: Operator, Path: match, Status: http.StatusOK, Has: []string{"To the bench", "/items/P31"}},
			form("dropped after", Operator, match+"/drop", url.Values{"reason": {"no"}}, http.StatusUnprocessableEntity, "kept or dropped already"),
			{Name: "the first block went in", Who: Operator, Path: "/items/" + id(1), Status: http.StatusOK, Has: []string{"Went into"}, HasNot: []string{">Set aside<"}},
			form("released", InspectorAtStand, "/blocks/release?block="+id(5), url.Values{"code": {"no_fault_found"}, "reason": {"paint"}, "confirm.pin": {PIN}}, http.StatusSeeOther),
			{Name: "picked by hand", Who: Operator, Path: "/match/pick?" + product.Encode() + "&block=H12-5", Status: http.StatusSeeOther},
			{Name: "one is picked", Who: Operator, Path: "/match/pick?" + product.Encode() + "&pick=" + id(5), Status: http.StatusOK, Has: []string{"1 of 2 picked", "Undo the last"}},
			{Name: "one that is in a pack", Who: Operator, Path: "/match/pick?" + product.Encode() + "&pick=" + id(5) + "&block=H12-1", Status: http.StatusOK, Has: []string{"H12-1 cannot go in"}},
			form("too few", Operator, "/match/pick?"+product.Encode()+"&pick="+id(5), url.Values{"placed": {"yes"}}, http.StatusUnprocessableEntity),
		})
	})
}
