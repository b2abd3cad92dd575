package lists_test

import (
	"fmt"
	"slices"
	"strings"
	"testing"
	"time"

	"tracewright/models"
	"tracewright/models/trade/ident"
	"tracewright/models/work/assembly"
	"tracewright/models/work/receive"
)

// built gives the shop motors N1 to N3, spokes SP-1 (40 pieces), SP-2 (not counted)
// and SP-3 (in quarantine), and wheel R-118 of 5 March 2029; N1 and 18 spokes of SP-1
// are in the wheel that was there.
func (d desk) building(t *testing.T) {
	t.Helper()
	for _, n := range []string{"N1", "N2", "N3"} {
		_, err := d.goods.AddPart(t.Context(), d.Owner, receive.NewPart{Kind: models.KindMotor, Supplier: "Norvik", Model: "R9", MakerNumber: n})
		d.Must(err)
	}
	d.take(t, "lots", "code,material,quantity,received on\nSP-1,spokes,40,2029-01-01\nSP-2,spokes,,2029-01-01\nSP-3,spokes,90,2029-01-01\n")
	_, err := d.goods.Decide(t.Context(), d.Owner, receive.Decided{Lot: "SP-3", Decision: models.LotQuarantine, Reason: "bent"})
	d.Must(err)
	d.take(t, "items", "kind,product,number,built on\nwheel,wheel one,R-118,2029-03-05\n")
	_, err = d.built.Change(t.Context(), d.Operator, d.Serial[models.KindWheel], assembly.Change{In: []assembly.In{
		{SentPart: models.SentPart{Role: "motor", Number: "N1"}}, {SentPart: models.SentPart{Role: "spokes_a", Lot: "SP-1", Quantity: 18}}}})
	d.Must(err)
}

func TestEveryFaultOfAListOfBuildRecords(t *testing.T) {
	each(t, func(t *testing.T, d desk) {
		d.building(t)
		wheel := ident.Print(d.Serial[models.KindWheel])
		const head = "item,role,place,lot,number,quantity,built in on,by,reason,taken out on\n"
		for name, test := range map[string]struct {
			rows        string
			want        []string
			fresh, same int
		}{
			"a lot":                           {"R-118,Spokes A,,SP-1,,18,05.03.2029,test operator,,", nil, 1, 0},
			"a motor":                         {"R-118,motor,,,N2,,2029-03-05,,,", nil, 1, 0},
			"of no day, by nobody":            {"R-118,motor,,,N2,,,,,", nil, 1, 0},
			"what is there":                   {wheel + ",spokes_a,,SP-1,,18,,,,\n" + wheel + ",motor,,,N1,1,2031-05-12,Test operator,,", nil, 0, 2},
			"what is there, in small letters": {wheel + ",spokes_a,,sp-1,,18,,,,", nil, 0, 1},
			"as much again of what is":        {wheel + ",spokes_a,,SP-1,,18,,,,\n" + wheel + ",spokes_a,,SP-1,,18,,,,", nil, 1, 1},
			"what is there, of another day":   {wheel + ",motor,,,N1,1,2031-05-11,,,", []string{"row 2, number: part_in_already number=N1 serial=" + d.Serial[models.KindWheel]}, 0, 0},
			"twice":                           {"R-118,spokes_a,,SP-2,,18,,,,\nR-118,spokes_b,,SP-2,,18,,,,\nR-118,spokes_a,,SP-2,,18,,,,", []string{"row 4: list_twice row=2"}, 2, 0},
			"no item":                         {",motor,,,N2,,,,,", []string{"row 2, item: missing"}, 0, 0},
			"an item nobody knows":            {"R-999,motor,,,N2,,,,,", []string{"row 2, item: unknown_number number=R-999"}, 0, 0},
			"no role":                         {"R-118,,,,N2,,,,,", []string{"row 2, role: missing"}, 0, 0},
			"a role nobody knows":             {"R-118,tyre,,,N2,,,,,", []string{"row 2, role: unknown_role role=tyre"}, 0, 0},
			"no part":                         {"R-118,motor,,,,,,,,", []string{"row 2, number: lot_or_number"}, 0, 0},
			"a part and a lot":                {"R-118,motor,,SP-1,N2,,,,,", []string{"row 2, number: lot_or_number"}, 0, 0},
			"a part nobody knows":             {"R-118,motor,,,N99,,,,,", []string{"row 2, number: unknown_number number=N99 serial=" + d.numbered(t, "R-118")}, 0, 0},
			"a lot nobody knows":              {"R-118,rim,,RM-9,,,,,,", []string{"row 2, lot: unknown_lot lot=RM-9"}, 0, 0},
			"a lot in quarantine":             {"R-118,spokes_a,,SP-3,,18,,,,", []string{"row 2, lot: lot_set_aside lot=SP-3"}, 0, 0},
			"spokes for a rim":                {"R-118,rim,,SP-1,,,,,,", []string{"row 2, lot: lot_of_other_use lot=SP-1 name=spokes"}, 0, 0},
			"a motor that is elsewhere":       {"R-118,motor,,,N1,,,,,", []string{"row 2, number: part_in_already number=N1 serial=" + d.Serial[models.KindWheel]}, 0, 0},
			"one motor for two wheels":        {"R-118,motor,,,N2,,,,,\n" + wheel + ",motor,B,,N2,,,,,", []string{"row 3, number: part_in_already number=N2 serial=" + d.numbered(t, "R-118"), "row 3, place: place_taken place=B"}, 1, 0},
			"two motors at one place":         {"R-118,motor,,,N2,,,,,\nR-118,motor,,,N3,,,,,", []string{"row 3, place: place_taken place="}, 1, 0},
			"more than came":                  {"R-118,spokes_a,,SP-1,,18,,,,\nR-118,spokes_b,,SP-1,,18,,,,", []string{"row 3, reason: lot_used_up lot=SP-1 over=14 quantity=40"}, 1, 0}, // 18 + 18 + 18 of 40.
			"more than came, for a reason":    {"R-118,spokes_a,,SP-1,,18,,,,\nR-118,spokes_b,,SP-1,,18,,,a bag was not counted,", nil, 2, 0},
			"more than came, of two items":    {"R-118,spokes_a,,SP-1,,18,,,,\n" + wheel + ",spokes_b,,SP-1,,18,,,,", []string{"row 3, reason: lot_used_up lot=SP-1 over=14 quantity=40"}, 1, 0},
			"more motors than one":            {"R-118,motor,,,N2,2,,,,", []string{"row 2, quantity: too_big most=1"}, 0, 0},
			"before the wheel was built":      {"R-118,motor,,,N2,,2029-03-04,,,", []string{"row 2, built in on: before_item date=2029-03-05"}, 0, 0},
			"after today":                     {"R-118,motor,,,N2,,2031-05-13,,,", []string{"row 2, built in on: day_ahead"}, 0, 0},
			"by somebody unknown":             {"R-118,motor,,,N2,,,Ada,,", []string{"row 2, by: list_unknown_person typed=Ada"}, 0, 0},
			"taken out is not taken over":     {"R-118,motor,,,N2,,,,,2030-01-01", []string{"row 2, taken out on: list_not_asserted"}, 0, 0},
		} {
			t.Run(name, func(t *testing.T) {
				report := d.try(t, "build-records", head+test.rows+"\n")
				if got := told(report); !slices.Equal(got, test.want) {
					t.Errorf("problems\n%s\nwant\n%s", strings.Join(got, "\n"), strings.Join(test.want, "\n"))
				}
				if report.New != test.fresh || report.Same != test.same {
					t.Errorf("%d new and %d there, want %d and %d", report.New, report.Same, test.fresh, test.same)
				}
			})
		}
	})
}

// numbered is the serial of the item that carries a number.
func (d desk) numbered(t *testing.T, number string) string {
	t.Helper()
	found, err := d.Store.ItemsByMakerNumbers(t.Context(), []string{number})
	d.Must(err)
	return *found[0].Serial
}

// The day and the name are those of the list, the entry of the log says who took it
// in and when.
func TestBuildRecordsKeepTheirDayAndTheirPerson(t *testing.T) {
	each(t, func(t *testing.T, d desk) {
		d.building(t)
		before := d.stored(t)
		raw := "item,role,lot,number,quantity,built in on,by\nR-118,spokes a,SP-1,,18,2029-03-05,TEST OPERATOR\nR-118,motor,,N2,,,\n"
		d.take(t, "build-records", raw)
		after := d.stored(t)
		for table := range after {
			if more := after[table] - before[table]; more != map[string]int{"fitted_parts": 2, "trail_entries": 2}[table] {
				t.Errorf("%s: %d more", table, more)
			}
		}
		item, err := d.Store.ItemBySerial(t.Context(), d.numbered(t, "R-118"))
		d.Must(err)
		parts, err := d.Store.Parts(t.Context(), item.ID)
		d.Must(err)
		got := map[string]string{}
		for _, p := range parts {
			got[p.Role] = fmt.Sprint(p.LotCode, p.Number, " ", p.Quantity, " ", p.FittedAt.Format(time.RFC3339), " ", p.FittedBy)
		}
		if want := "SP-1 18 2029-03-05T12:00:00Z " + d.Operator.PersonID; got["spokes_a"] != want {
			t.Errorf("spokes: %s, want %s", got["spokes_a"], want)
		}
		if want := "N2 1 2031-05-12T12:00:00Z " + d.Owner.PersonID; got["motor"] != want {
			t.Errorf("motor: %s, want %s", got["motor"], want)
		}
		entries, err := d.Store.TrailOf(t.Context(), []string{parts[0].ID}, 9)
		d.Must(err)
		if len(entries) != 1 || entries[0].Actor != d.Owner.PersonID || !entries[0].At.Equal(d.Now) {
			t.Errorf("the log says %+v", entries)
		}
		if again := d.take(t, "build-records", raw); again.Same != 2 || again.New != 0 {
			t.Errorf("sent again: %+v", again)
		}
	})
}
