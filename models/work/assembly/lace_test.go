package assembly_test

import (
	"errors"
	"strings"
	"testing"
	"time"

	"tracewright/models"
	"tracewright/models/work/assembly"
	"tracewright/models/work/worktest"
)

// Twenty wheels in a row: a motor each and the lots once; serials run on, a
// motor that is not known comes in with its wheel, and an entry that is sent
// twice is one wheel.
func TestWheelsLacedInARow(t *testing.T) {
	each(t, func(t *testing.T, b bench) {
		ctx, product := t.Context(), *b.Item[models.KindWheel].ProductID
		lacing := func(motor string) assembly.Lacing {
			return assembly.Lacing{ID: models.NewID(), Product: product, Motor: models.PartName{Supplier: "Norvik", Model: "R9", Number: motor},
				Lots: assembly.Lots{Rim: "RM-1", SpokesA: "SP-1", SpokesB: "SP-1", Nipples: ""}}
		}
		var serials []string
		for _, motor := range []string{"N1", "N2", "N901", "N902"} {
			l := lacing(motor)
			made, err := b.s.Lace(ctx, b.Operator, l)
			b.Must(err)
			if made.New != (len(motor) > 2) {
				t.Errorf("motor %s came in with its wheel: %v", motor, made.New)
			}
			again, err := b.s.Lace(ctx, b.Operator, l)
			b.Must(err)
			if again.Item.ID != made.Item.ID || *again.Item.Serial != *made.Item.Serial {
				t.Errorf("sent twice it is %s and %s", *made.Item.Serial, *again.Item.Serial)
			}
			l.Motor.Number = strings.ToLower(motor)
			if again, err = b.s.Lace(ctx, b.Operator, l); err != nil || again.Item.ID != made.Item.ID {
				t.Errorf("sent twice, in other capitals: %s, %v", again.Item.Name(), err)
			}
			l.Motor.Number = "N3"
			if _, err := b.s.Lace(ctx, b.Operator, l); !errors.Is(err, models.ErrConflict) {
				t.Errorf("the same entry with another motor: %v", err)
			}
			serials = append(serials, *made.Item.Serial)
			parts, err := b.Store.Parts(ctx, made.Item.ID)
			b.Must(err)
			got := map[string]int{}
			for _, p := range parts {
				got[p.Role+" "+p.LotCode+p.Number] = p.Quantity
			}
			for what, n := range map[string]int{"motor " + motor: 1, "rim RM-1": 1, "spokes_a SP-1": 18, "spokes_b SP-1": 18} {
				if got[what] != n {
					t.Errorf("%d of %s, want %d", got[what], what, n)
				}
			}
			if len(parts) != 4 {
				t.Errorf("%d parts, want 4: %v", len(parts), got)
			}
		}
		today, err := b.s.LacedToday(ctx, b.Operator, product)
		b.Must(err)
		if len(today) != 4 || *today[0].Serial != serials[3] || *today[3].Serial != serials[0] {
			t.Errorf("laced today: %d, the newest %s; want the four, %s first", len(today), today[0].Name(), serials[3])
		}
		b.Now = b.Now.Add(24 * time.Hour)
		if today, err = b.s.LacedToday(ctx, b.Operator, product); err != nil || len(today) != 0 {
			t.Errorf("laced tomorrow: %d, %v", len(today), err)
		}

		spent, bad, unknown := lacing("N3"), lacing("N1"), lacing("N77")
		spent.Lots.SpokesB = "SP-2"
		bad.Lots.Rim = "RM-9"
		unknown.Motor.Supplier, unknown.Motor.Model = "", ""
		serial := lacing(*b.Item[models.KindWheel].Serial)
		b.Must(b.Store.AddLot(ctx, models.NewStamp(b.Owner, b.Now), models.Lot{ID: models.NewID(), Code: "SP-4", Material: "spokes", SupplierCode: "H6868"}))
		bell, long := lacing("N78"), lacing("N79")
		bell.Motor.Model, long.Motor.Supplier = "R\u00079", strings.Repeat("N", 201)
		for name, c := range map[string]struct {
			l    assembly.Lacing
			want []string
		}{
			"a lot that has too few":                 {spent, []string{"reason: lot_used_up"}},
			"a motor in a wheel, a lot nobody knows": {bad, []string{"motor: part_in_already", "rim: unknown_lot"}},
			"one in a wheel, in other capitals":      {lacing("n901"), []string{"motor: part_in_already"}},
			"a model that is not printed":            {bell, []string{"motor: not_printed"}},
			"a number of two lines":                  {lacing("N\n78"), []string{"motor: not_printed"}},
			"a supplier without end":                 {long, []string{"motor: too_long"}},
			"one in a wheel, as pasted":              {lacing("\u200bN901\ufeff"), []string{"motor: part_in_already"}},
			"a motor of no make":                     {unknown, []string{"motor: motor_unknown"}},
			"a wheel for a motor":                    {serial, []string{"motor: no_motor"}},
			"no motor":                               {lacing(""), []string{"motor: missing"}},
			// What nobody knows comes in as a motor, but not what can be none.
			"the supplier's label of a lot":     {lacing("H6868"), []string{"motor: lot_for_number"}},
			"a lot with a slip of the hand":     {lacing("sp-91"), []string{"motor: unknown_lot"}},
			"an article number":                 {lacing("4006381333931"), []string{"motor: no_motor"}},
			"a GS1 code that was misread":       {lacing("]d2010952100000010921N905"), []string{"motor: no_motor"}},
			"a GS1 code without a serial":       {lacing("]d20109521000000100"), []string{"motor: no_motor"}},
			"an address":                        {lacing("https://example.com/r9"), []string{"motor: no_motor"}},
			"a serial with a character misread": {lacing("W31-00001-8"), []string{"motor: no_motor"}},
		} {
			_, err := b.s.Lace(ctx, b.Operator, c.l)
			t.Run(name, func(t *testing.T) { worktest.WantProblems(t, err, c.want...) })
		}
		// GTIN-14 of prefix 952, which GS1 keeps for examples, and the serial N904.
		labelled, err := b.s.Lace(ctx, b.Operator, lacing("]d2010952100000010021N904"))
		b.Must(err)
		if *labelled.Motor.MakerNumber != "N904" {
			t.Errorf("of a GS1 label the motor's number is %q, want N904", *labelled.Motor.MakerNumber)
		}
		small := lacing("N903")
		small.Lots.Rim, small.Lots.SpokesA = "rm-1", "Sp-1"
		made, err := b.s.Lace(ctx, b.Operator, small)
		b.Must(err)
		parts, err := b.Store.Parts(ctx, made.Item.ID)
		b.Must(err)
		if len(parts) != 4 {
			t.Errorf("of lots typed in small letters it has %d parts, want 4", len(parts))
		}
		spent.Reason = "a second bag of the lot"
		if _, err := b.s.Lace(ctx, b.Operator, spent); err != nil {
			t.Error(err)
		}
	})
}
