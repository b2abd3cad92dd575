package servertest

import (
	"fmt"
	"net/http"
	"net/url"
	"testing"
	"time"

	"tracewright/models"
	"tracewright/models/work/specify"
	"tracewright/models/work/stock"
)

// Blocks by lot on their page, from the first lot on: one and two are told to be too
// few, lots of one block are none, and twenty have limits, a strip of their own spread
// and a baseline. The reading itself goes through the counter of deliveries.
func TestLotsOnTheirChart(t *testing.T) {
	Each(t, func(t *testing.T, s *Shop) {
		model := s.blockModel(t)
		n := 0
		lot := func(blocks int) {
			n++
			s.Now = s.Now.Add(time.Minute)
			code := fmt.Sprintf("BL-%02d", n)
			s.Must(s.Store.AddLot(t.Context(), models.NewStamp(s.Shop.Owner, s.Now), models.Lot{ID: models.NewID(), Code: code, Material: "blocks", ReceivedAt: s.Now, ReceivedBy: s.Shop.Owner.PersonID}))
			d := stock.Delivery{Model: model.ID, Lot: code, Stage: models.Incoming, MeasuredAt: s.Now, Conditions: models.Conditions{RestHours: "72"}, Temperature: "25", Gauges: stock.Gauges{Voltage: "V-1", Resistance: "R-1", Temperature: "H-1"}, Method: models.ResistanceAC}
			for i := range blocks {
				d.Rows = append(d.Rows, stock.Row{ID: models.NewID(), Number: fmt.Sprintf("H12-%d-%d", n, i), Voltage: fmt.Sprintf("12.%d", 870+10*(n%3)+4*i), Resistance: "14.1"})
			}
			_, err := s.App.Services.Stock.TakeIn(t.Context(), s.Shop.Operator, d)
			s.Must(err)
		}
		key := "/charts?family=" + model.FamilyID + "&result=block_ocv25"
		page := func(name, path string, has ...string) Row {
			return Row{Name: name, Who: Owner, Path: path, Status: http.StatusOK, Has: has, HasNot: []string{"NaN", "[chart", "[open", "cannot be drawn"}}
		}
		lot(1)
		s.Run(t, []Row{page("a lot of one block", key, "Nothing was measured in this time")})
		lot(2)
		s.Run(t, []Row{page("one lot", key, "Needs 20 for limits, has 1", "BL-02, 2 blocks")})
		lot(3)
		s.Run(t, []Row{page("two lots", key, "Needs 20 for limits, has 2", "BL-03, 3 blocks")})
		for n < 22 {
			lot(2 + n%2)
		}
		chosen := func(more ...string) url.Values {
			v := url.Values{"family": {model.FamilyID}, "result": {"block_ocv25"}}
			for i := 0; i < len(more); i += 2 {
				v.Set(more[i], more[i+1])
			}
			return v
		}
		s.Run(t, []Row{
			page("with limits", key, "In control", "Spread within a lot, V", "First lot, by its code", "Within a lot", "Charts of weeks and lots are watched once somebody has chosen a baseline"),
			{Name: "for a spreadsheet", Who: Desk, Path: key + "&as=csv", Status: http.StatusOK, Has: []string{"lot,blocks,", "spread within the lot (V)", ",BL-02,2,"}},
			Posted("a lot that is none", Owner, "/charts/baselines", chosen("first", "BL-02", "last", "BL-99"), http.StatusUnprocessableEntity, "There is no such point on this chart."),
			Posted("too few lots", Owner, "/charts/baselines", chosen("first", "BL-02", "last", "BL-20"), http.StatusUnprocessableEntity, "A baseline needs 20 points, and this stretch has 19."),
			Posted("a baseline of lots", Owner, "/charts/baselines", chosen("first", "BL-02", "last", "bl-22", "excluded", "BL-05 dropped on the way", "note", "the new maker"), http.StatusSeeOther),
			page("its phase is told", key, "Baseline of 20 lots, frozen on", "the new maker", "Without BL-05: dropped on the way.", "It is watched, because somebody chose its baseline."),
		})
		other, err := s.App.Services.Specify.AddProduct(t.Context(), s.Shop.Owner, specify.NewProduct{FamilyID: model.FamilyID, Name: "Halden 12-17", Form: models.ProductForm{Block: &models.BlockForm{
			Supplier: "Halden", Model: "12-17", Chemistry: "agm", Cells: 6, Capacity: "17", Rate: "C20", ResistanceMethod: models.ResistanceAC, DateCode: models.DateYearWeek}}})
		s.Must(err)
		s.Run(t, []Row{
			page("models are charted one at a time, and offered", key, "Choose a block model", "Halden 12-12</a>", "Halden 12-17</a>", "product="+other.Product.ID),
			page("one of them", key+"&product="+model.ID, "BL-02, 2 blocks"),
			page("and one that nothing came of", key+"&product="+other.Product.ID, "Nothing was measured in this time"),
		})
	})
}
