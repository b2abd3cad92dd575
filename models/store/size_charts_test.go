package store_test

import (
	"fmt"
	"math/rand/v2"
	"os"
	"runtime/debug"
	"slices"
	"strconv"
	"testing"
	"time"

	"tracewright/models"
	"tracewright/models/store/storetest"
	"tracewright/models/work/monitor"
	"tracewright/models/work/worktest"
)

// Charts over a long history take as long as over a short one: each asks for its
// newest points through an index. Each ratio of medians is held against 8, where a
// chart that walks its history takes twenty times as long, and the middle one of all
// charts against 3, beside whatever else is tested at that moment, or 1.25 when a number
// of results is given. A chart whose drift began
// before the shown points reads more of them, which a short history does not have: a
// product at a stand has 500 points among 10,000 results.
//
//	TRACEWRIGHT_CHART_SIZE=5000000 go test -run ChartsAtSize -v -timeout 60m ./models/store
func TestChartsAtSize(t *testing.T) {
	const few = 10_000
	const most = 8.0
	size, middle, rounds := 200_000, 3.0, 15
	if text := os.Getenv("TRACEWRIGHT_CHART_SIZE"); text != "" {
		n, err := strconv.Atoi(text)
		if err != nil || n <= few {
			t.Fatalf("TRACEWRIGHT_CHART_SIZE=%s: want a number of results above %d", text, few)
		}
		size, middle, rounds = n, 1.25, 200
		defer debug.SetGCPercent(debug.SetGCPercent(800)) // as the server does
	} else if testing.Short() {
		t.Skip("fills two databases")
	}
	storetest.EachDSN(t, func(t *testing.T, dsn string) {
		small, large := charted(t, dsn, few), charted(t, another(t, dsn), size)
		var ratios []float64
		for i, c := range large.charts {
			var before, now []time.Duration
			if c.only {
				// Nothing like it is in a short history. It takes no longer than a chart of
				// ten times as many inspections may.
				ask(t, large, c)
				for range rounds {
					before, now = append(before, ask(t, large, large.charts[0])), append(now, ask(t, large, c))
				}
				t.Logf("%-58s %10v, %s %v", c.name, median(now), large.charts[0].name, median(before))
				if median(now) > 10*median(before) {
					t.Errorf("%s took %v, at most ten times the %v of %s", c.name, median(now), median(before), large.charts[0].name)
				}
				continue
			}
			ask(t, small, small.charts[i])
			ask(t, large, c)
			for range rounds {
				before, now = append(before, ask(t, small, small.charts[i])), append(now, ask(t, large, c))
			}
			ratio := float64(median(now)) / float64(median(before))
			t.Logf("%-58s %10v, among %d results %10v, ratio %.2f", c.name, median(now), few, median(before), ratio)
			ratios = append(ratios, ratio)
			if ratio > most {
				t.Errorf("%s: %.2f times as long as among %d results, at most %.2f", c.name, ratio, few, most)
			}
		}
		slices.Sort(ratios)
		m := ratios[len(ratios)/2]
		t.Logf("of %d charts the middle ratio is %.2f, the largest %.2f", len(ratios), m, ratios[len(ratios)-1])
		if m > middle {
			t.Errorf("the middle ratio of all charts is %.2f, at most %.2f", m, middle)
		}
	})
}

// ask draws a chart, sees that it has the points it should, and tells how long that
// took.
func ask(t *testing.T, of history, c chartAsked) time.Duration {
	t.Helper()
	return timeOf(func() {
		v, err := of.monitor.Chart(t.Context(), c.query)
		if err != nil || len(v.Points) < c.least || len(v.Points) > c.most {
			t.Fatalf("%s among %d: %d points, %v; want %d to %d", c.name, of.results, len(v.Points), err, c.least, c.most)
		}
	})
}

// history is a filled shop behind its charts.
type history struct {
	monitor *monitor.Service
	results int
	end     time.Time
	charts  []chartAsked
}

type chartAsked struct {
	name        string
	query       monitor.ChartQuery
	least, most int  // points
	only        bool // it is in a long history alone
}

// charted fills an empty database with so many results, and names the charts that
// are asked for.
func charted(t *testing.T, dsn string, results int) history {
	t.Helper()
	h := worktest.On(t, storetest.Open(t, dsn))
	began := time.Now()
	f := fillResults(t, dsn, h, results)
	t.Logf("%d results of %d wheels in %v", f.results, f.wheels, time.Since(began).Round(time.Second))
	now := func() time.Time { return f.end }
	from := f.end.AddDate(0, 0, -90)
	of := history{monitor: monitor.New(h.Store, now, worktest.Zone), results: results, end: f.end}
	q := monitor.ChartQuery{FamilyID: f.family, Result: "lateral_tir"}
	for _, c := range []struct {
		name           string
		product, place string
		whole          int // points of 90 days, by design
	}{
		{"a family", "", "", 400}, {"a product", f.product, "", 400}, {"a stand", "", "stand 1", 400},
		{"a product at a stand", f.product, "stand 1", 300},
		{"a product at a stand it never came to", f.product, "stand 9", 0},
		{"a product that is made no more", f.old, "", 0},
	} {
		asked := q
		asked.ProductID, asked.Place = c.product, c.place
		of.charts = append(of.charts, chartAsked{"the newest points of " + c.name, asked, c.whole, 400, c.product == f.old})
		asked.From = from
		of.charts = append(of.charts, chartAsked{"90 days of " + c.name, asked, c.whole / 2, 2000, false})
	}
	never := q
	never.Result = "radial_h3"
	of.charts = append(of.charts, chartAsked{"a result that was never read", never, 0, 0, true})
	return of
}

// filled is what was written.
type filled struct {
	family, product, old string
	end                  time.Time
	wheels, results      int
}

// fillResults writes the first sets of wheels past the program: the newest 800 as
// in a shop of eight a day, the same in a history of any length; those before
// them more densely, with two more families, four more products and three more
// stands among them. A wheel has the thirteen results that a wheel read by its
// extremes has in the worktest shop, of which each follows its own course.
func fillResults(t *testing.T, dsn string, h *worktest.Shop, results int) filled {
	t.Helper()
	ctx, chance := t.Context(), rand.New(rand.NewPCG(8, 5))
	wheel := h.Item[models.KindWheel]
	h.MustRecord(h.Extremes())
	like := must(h.Store.ViewsOf(ctx, wheel.ID))[0].Results
	stamp := models.NewStamp(h.Owner, h.Now.AddDate(-9, 0, 0))
	spec := must(h.Store.SpecificationInForce(ctx, *wheel.FamilyID, nil))
	form := must(h.Store.ProductRevision(ctx, *wheel.ProductID, 1)).Form
	products := []models.Product{{ID: *wheel.ProductID, FamilyID: *wheel.FamilyID}}
	specs := map[string]string{*wheel.FamilyID: spec.ID}
	product := func(name, family string) {
		p := models.Product{ID: models.NewID(), FamilyID: family, Name: name}
		h.Must(h.Store.AddProduct(ctx, stamp, p, models.ProductRevision{Form: form}))
		products = append(products, p)
	}
	product("wheel two", *wheel.FamilyID)
	product("wheel of old", *wheel.FamilyID)
	for _, name := range []string{"other wheels", "more wheels"} {
		family := models.Family{ID: models.NewID(), Kind: models.KindWheel, Name: name}
		own := spec
		own.ID = models.NewID()
		h.Must(h.Store.AddFamily(ctx, stamp, family, own))
		specs[family.ID] = own.ID
		product(name+" one", family.ID)
	}
	numeric := slices.DeleteFunc(slices.Clone(like), func(r models.Result) bool { return r.ValueF == nil || r.Position != "" })
	wheels := results / len(numeric)
	f := filled{family: *wheel.FamilyID, product: *wheel.ProductID, old: products[2].ID, end: h.Now, wheels: wheels, results: wheels * len(numeric)}

	put, done := bulk(t, dsn)
	items := table{"items", []string{"id", "kind", "serial", "serial_tail", "supplier", "model", "maker_number", "family_id", "product_id", "state", "origin", "created_at", "created_by"}, nil}
	inspections := table{"inspections", []string{"id", "item_id", "family_id", "product_id", "product_revision", "specification_id", "stage", "person_id", "place", "started_at", "measured_at", "offset_ms",
		"received_at", "conditions", "verdict", "remarks", "reason", "sent_hash", "recheck", "round", "first_set", "pass_rounds", "pass_minutes"}, nil}
	values := table{"results", []string{"inspection_id", "code", "position", "value", "value_f", "unit", "low", "high", "accept_low", "accept_high", "u", "verdict", "reason", "method", "readings"}, nil}
	const recent = 800
	for n := range wheels {
		// n counts back from the newest.
		at, p, place := h.Now.Add(-time.Duration(n)*3*time.Hour), products[0], "stand 1"
		dice := chance.Float64()
		if n >= recent {
			at = h.Now.Add(-recent*3*time.Hour - time.Duration(n-recent)*5*time.Minute)
			if dice < 0.6 {
				p, place = products[2+int(dice*5)], fmt.Sprint("stand ", 3+int(dice*5))
			}
		}
		if p.ID == products[0].ID && chance.Float64() < 0.2 {
			p = products[1]
		}
		if place == "stand 1" && chance.Float64() < 0.2 {
			place = "stand 2"
		}
		at = models.Moment(at)
		serial := fmt.Sprintf("W%09d", 100_000_000+n)
		items.rows = append(items.rows, []any{keyOf('7', wheels-n), models.KindWheel, serial, serial[5:], "", "", nil, p.FamilyID, p.ID, models.StateConforming, "made", at, h.Owner.PersonID})
		inspections.rows = append(inspections.rows, []any{keyOf('8', wheels-n), keyOf('7', wheels-n), p.FamilyID, p.ID, 1, specs[p.FamilyID], models.AfterRelief, h.Operator.PersonID, place, at.Add(-6 * time.Minute), at, 0,
			at, "{}", models.VerdictPass, "[]", "", "h", false, 1, true, 1, 6})
		for _, r := range numeric {
			x := *r.ValueF * (1 + 0.15*chance.NormFloat64())
			text := strconv.FormatFloat(x, 'f', 4, 64)
			x, _ = strconv.ParseFloat(text, 64)
			values.rows = append(values.rows, []any{keyOf('8', wheels-n), r.Code, "", text, x, r.Unit, r.Low, r.High, r.AcceptLow, r.AcceptHigh, r.U, r.Verdict, r.Reason, r.Method, r.Readings})
		}
		if len(values.rows) >= 10_000 || n == wheels-1 {
			for _, x := range []*table{&items, &inspections, &values} {
				if err := put(*x); err != nil {
					t.Fatalf("fill %s: %v", x.name, err)
				}
				x.rows = x.rows[:0]
			}
		}
	}
	if err := done(); err != nil {
		t.Fatal(err)
	}
	return f
}
