package monitor_test

import (
	"context"
	"fmt"
	"math"
	"testing"
	"time"

	"tracewright/models"
	"tracewright/models/trade/kinds"
	"tracewright/models/work/monitor"
	"tracewright/models/work/worktest"
)

// withLots answers for the values of blocks that came in by lots.
type withLots struct {
	monitor.Store
	points []models.SeriesPoint
}

func (w withLots) Series(context.Context, models.SeriesQuery) ([]models.SeriesPoint, error) {
	return w.points, nil
}

// 24 lots of four blocks each, whose means go 12.80 and 12.84 V by turns, and a 25th of
// 12.20 V; a 26th of one block has no spread and is no point. The first 25 are the
// baseline: 23 moving ranges are 0.04 V and one is 0.64, so sigma is their mean over
// d2(2) = 1.128 (table of constants, ASTM MNL 7A), 0.0576 V, the centre 12.795 V, and
// the odd lot lies more than ten sigma below it.
func TestBlocksAreChartedByLot(t *testing.T) {
	const sigma = (23*0.04 + 0.64) / 24 / 1.128
	each(t, func(t *testing.T, h *worktest.Shop, _ *monitor.Service) {
		kind, _ := kinds.Named(models.KindBlock)
		family := models.Family{ID: models.NewID(), Kind: models.KindBlock, Name: "Blocks"}
		stamp := models.NewStamp(h.Owner, h.Now)
		form, err := kinds.WithBlockDefaults(models.BlockForm{Supplier: "Halden", Model: "12-17", Chemistry: "agm", Cells: 6, Capacity: "17", Rate: "C20", ResistanceMethod: models.ResistanceAC})
		h.Must(err)
		list, err := kind.DefaultSpecification(kind.Grades[0], models.ProductForm{Block: &form})
		h.Must(err)
		h.Must(h.Store.AddFamily(t.Context(), stamp, family, models.Specification{ID: models.NewID(), Revision: 1, Grade: kind.Grades[0], Rule: "simple", Characteristics: list}))
		product := models.Product{ID: models.NewID()}
		lots := withLots{Store: h.Store}
		add := func(lot string, volts float64) {
			h.Now = h.Now.Add(time.Minute)
			lots.points = append(lots.points, models.SeriesPoint{InspectionID: models.NewID(), ItemID: models.NewID(), Serial: fmt.Sprintf("B%d", len(lots.points)), MeasuredAt: h.Now,
				Value: fmt.Sprintf("%.3f", volts), ValueF: volts, ProductID: product.ID, Lot: lot})
		}
		for i := range 25 {
			mean := 12.80 + 0.04*float64(i%2)
			if i == 24 {
				mean = 12.20
			}
			for j := range 4 {
				add(fmt.Sprintf("L-%02d", i), mean+0.02*(float64(j)-1.5))
			}
		}
		add("L-25", 12.8)
		s := monitor.New(lots, h.Clock, worktest.Zone)
		v, err := s.Chart(t.Context(), monitor.ChartQuery{FamilyID: family.ID, Result: "block_ocv25"})
		h.Must(err)
		if len(v.Points) != 25 || v.Grouped != monitor.ByLot || v.Kind != "three_way" || v.Points[0].Group != "L-00" || v.Points[0].Size != 4 {
			t.Fatalf("%d points by %q, %s, the first %+v", len(v.Points), v.Grouped, v.Kind, v.Points[0])
		}
		l := v.Present().Limits
		if math.Abs(l.Sigma-sigma) > 0.001*sigma || l.Facts.NoLimits || math.Abs(v.Present().Values.Points[1]-12.84) > 1e-9 {
			t.Errorf("sigma %v, want %v; facts %+v; second point %v", l.Sigma, sigma, l.Facts, v.Present().Values.Points[1])
		}
		if len(v.Signals) != 1 || v.Signals[0].Point != 24 || v.Finding.Title.Code != "chart.beyond_all" {
			t.Errorf("finding %+v, signals %+v", v.Finding, v.Signals)
		}
	})
}
