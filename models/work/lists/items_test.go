package lists_test

import (
	"errors"
	"slices"
	"strings"
	"testing"

	"tracewright/models"
	"tracewright/models/trade/ident"
	"tracewright/models/work/receive"
)

// The shop has motor N1 of Norvik's R9, one wheel and one pack. A roll of labels is
// printed for wheels, one for packs that names the product.
func TestEveryFaultOfAListOfItems(t *testing.T) {
	each(t, func(t *testing.T, d desk) {
		_, err := d.goods.AddPart(t.Context(), d.Owner, receive.NewPart{Kind: models.KindMotor, Supplier: "Norvik", Model: "R9", MakerNumber: "N1"})
		d.Must(err)
		pack := d.Item[models.KindPack]
		wheels, err := d.goods.AddRoll(t.Context(), d.Owner, receive.NewRoll{Kind: models.KindWheel, Count: 20})
		d.Must(err)
		packs, err := d.goods.AddRoll(t.Context(), d.Owner, receive.NewRoll{Kind: models.KindPack, ProductID: *pack.ProductID, Count: 20})
		d.Must(err)
		label, named := receive.Serials(wheels)[0], receive.Serials(packs)[0]
		known := ident.Print(d.Serial[models.KindWheel])
		other, _ := ident.Allocate(ident.Wheel, 31, 30_000)
		slip := []byte(known) // Its last character is the check of the others.
		slip[len(slip)-1] = map[bool]byte{true: '3', false: '2'}[slip[len(slip)-1] == '2']
		const head = "serial,kind,product,supplier,model,number,built on,state,certificate,shipped on\n"
		for name, test := range map[string]struct {
			row         string
			want        []string
			fresh, same int
			given       int
		}{
			"a motor":                       {",motor,,Norvik,R9,N2,,,,", nil, 1, 0, 0},
			"a motor that is there":         {",motor,,Norvik,R9,N1,,,,", nil, 0, 1, 0},
			"a motor in other capitals":     {",motor,,norvik,r9,n1,,,,", nil, 0, 1, 0},
			"and other blanks":              {",motor,,\"NORVIK \",R9,n1,,,,", nil, 0, 1, 0},
			"the number of another maker":   {",motor,,Aare,H1,N1,,,,", nil, 1, 0, 0},
			"a motor of no make":            {",motor,,,,N2,,,,", []string{"row 2, model: missing", "row 2, supplier: missing"}, 0, 0, 0},
			"a motor without a number":      {",motor,,Norvik,R9,,,,,", []string{"row 2, number: list_serial_or_number"}, 0, 0, 0},
			"a motor that was built here":   {",motor,,Norvik,R9,N2,2030-01-02,,,", []string{"row 2, built on: list_not_of_kind kind=motor"}, 0, 0, 0},
			"a number like a serial":        {",motor,,Norvik,R9," + known + ",,,,", []string{"row 2, number: like_a_serial number=" + known}, 0, 0, 0},
			"a wheel that is older":         {",wheel,wheel one,,,R-118,05.03.2024,,,", nil, 1, 0, 1},
			"a wheel of an unknown day":     {",Wheel,Wheel One,,,R-118,,in process,,", nil, 1, 0, 1},
			"a wheel of no product":         {",wheel,,,,R-118,,,,", []string{"row 2, product: missing"}, 0, 0, 0},
			"a wheel of a pack's product":   {",wheel,pack one,,,R-118,,,,", []string{"row 2, product: unknown_product_name product=pack one"}, 0, 0, 0},
			"a wheel of a supplier":         {",wheel,wheel one,Norvik,,R-118,,,,", []string{"row 2, supplier: list_not_of_kind kind=wheel"}, 0, 0, 0},
			"a wheel of tomorrow":           {",wheel,wheel one,,,R-118,2031-05-13,,,", []string{"row 2, built on: day_ahead"}, 0, 0, 0},
			"a verdict is not taken over":   {",wheel,wheel one,,,R-118,,conforming,,", []string{"row 2, state: list_not_asserted"}, 0, 0, 0},
			"nor a certificate":             {",wheel,wheel one,,,R-118,,,C24-00001/1,", []string{"row 2, certificate: list_not_asserted"}, 0, 0, 0},
			"nor a shipment":                {",wheel,wheel one,,,R-118,,,,2024-05-05", []string{"row 2, shipped on: list_not_asserted"}, 0, 0, 0},
			"a kit":                         {",kit,kit one,,,K-1,,,,", []string{"row 2, kind: list_unknown_kind names=wheel, pack, motor, block typed=kit"}, 0, 0, 0},
			"a bicycle":                     {",bicycle,,,,1,,,,", []string{"row 2, kind: list_unknown_kind names=wheel, pack, motor, block typed=bicycle"}, 0, 0, 0},
			"a wheel that is there":         {strings.ToLower(known) + ",wheel,wheel one,,,,2031-04-12,released,C31-00001/1,2031-05-01", nil, 0, 1, 0}, // It was made a month before noon of 12 May.
			"a wheel that is there, day":    {known + ",wheel,wheel one,,,,2031-04-11,,,", []string{"row 2, serial: list_differs names=built on value=" + known}, 0, 0, 0},
			"a wheel that is there, kind":   {known + ",pack,pack one,,,,,,,", []string{"row 2, serial: list_differs names=kind, product value=" + known}, 0, 0, 0},
			"a serial mistyped":             {string(slip) + ",wheel,wheel one,,,,,,,", []string{"row 2, serial: serial_check serial=" + string(slip)}, 0, 0, 0},
			"a serial of somebody else":     {"A-1,wheel,wheel one,,,,,,,", []string{"row 2, serial: serial_form serial=A-1"}, 0, 0, 0},
			"a serial that nothing has":     {ident.Print(other) + ",wheel,wheel one,,,,,,,", []string{"row 2, serial: list_serial_unknown serial=" + ident.Print(other)}, 0, 0, 0},
			"a printed label":               {label + ",wheel,wheel one,,,,2030-07-01,,,", nil, 1, 0, 0},
			"a printed label of no product": {label + ",wheel,,,,,,,,", []string{"row 2, product: missing"}, 0, 0, 0},
			"a wheel's label on a pack":     {label + ",pack,pack one,,,,,,,", []string{"row 2, kind: product_of_other_kind kind=pack serial=" + label}, 0, 0, 0},
			"a label with its product":      {named + ",pack,,,,,,,,", nil, 1, 0, 0},
			"a label of another product":    {named + ",pack,wheel one,,,,,,,", []string{"row 2, product: list_other_roll product=pack one"}, 0, 0, 0},
		} {
			t.Run(name, func(t *testing.T) {
				report := d.try(t, "items", head+test.row+"\n")
				if got := told(report); !slices.Equal(got, test.want) {
					t.Errorf("problems\n%s\nwant\n%s", strings.Join(got, "\n"), strings.Join(test.want, "\n"))
				}
				if report.New != test.fresh || report.Same != test.same || report.Given != test.given {
					t.Errorf("%d new, %d there, %d given a serial; want %d, %d, %d", report.New, report.Same, report.Given, test.fresh, test.same, test.given)
				}
			})
		}
		twice := d.try(t, "items", head+",motor,,Norvik,R9,N2,,,,\n,motor,,Norvik,R9,N3,,,,\n,motor,,Norvik,R9,N2,,,,\n"+known+",wheel,,,,,,,,\n"+d.Serial[models.KindWheel]+",wheel,,,,,,,,\n")
		if got := told(twice); !slices.Equal(got, []string{"row 4, number: list_twice row=2", "row 6, serial: list_twice row=5"}) {
			t.Errorf("named twice: %v", got)
		}
		alike := d.try(t, "items", head+",motor,,Norvik,R9,N2,,,,\n,motor,,NORVIK,r9,n2,,,,\n")
		if got := told(alike); !slices.Equal(got, []string{"row 3, number: list_twice row=2"}) {
			t.Errorf("named twice in other capitals: %v", got)
		}
		// A number names one item, whatever stands in the column of serials.
		serials := receive.Serials(wheels)
		d.take(t, "items", head+",wheel,wheel one,,,R-100,,,,\n")
		numbered := d.try(t, "items", head+serials[0]+",wheel,wheel one,,,R-100,,,,\n"+serials[1]+",wheel,wheel one,,,R-101,,,,\n"+serials[2]+",wheel,wheel one,,,R-101,,,,\n,wheel,wheel one,,,R-101,,,,\n")
		if got := told(numbered); !slices.Equal(got, []string{"row 2, number: taken value=R-100", "row 4, number: list_twice row=3", "row 5, number: list_twice row=3"}) {
			t.Errorf("one number for two: %v", got)
		}
	})
}

// A supplier is written as the register of suppliers has it, by a list and at goods-in;
// one motor is not taken in twice in another spelling.
func TestSuppliersOfItemsAreThoseOfTheRegister(t *testing.T) {
	each(t, func(t *testing.T, d desk) {
		d.take(t, "lots", "code,material,supplier\nM-1,spokes,Norvik Drives\n")
		d.take(t, "items", "kind,supplier,model,number\nmotor,NORVIK  drives,R9,N1\nmotor,Aare,H1,K1\nmotor,aare,H1,K2\n")
		add := func(supplier, model, number string) (models.Item, error) {
			return d.goods.AddPart(t.Context(), d.Owner, receive.NewPart{Kind: models.KindMotor, Supplier: supplier, Model: model, MakerNumber: number})
		}
		_, err := add("norvik drives", "R9", "N2")
		d.Must(err)
		for _, again := range [][3]string{{"Norvik Drives", "R9", "N2"}, {"norvik  drives", "r9", "n1"}, {"AARE", "h1", "k2"}} {
			_, err := add(again[0], again[1], again[2])
			var invalid *models.InvalidError
			if !errors.As(err, &invalid) || invalid.Problems[0].Code != "taken" || invalid.Problems[0].Values["value"] != strings.ToUpper(again[2]) {
				t.Errorf("%v is taken in again: %v", again, err)
			}
		}
		found, err := d.Store.ItemsByMakerNumbers(t.Context(), []string{"n1", "N2", "K1", "K2"})
		d.Must(err)
		var got []string
		for _, i := range found {
			got = append(got, i.Supplier+" "+*i.MakerNumber)
		}
		if want := []string{"Aare K1", "Aare K2", "Norvik Drives N1", "Norvik Drives N2"}; !slices.Equal(got, want) {
			t.Errorf("on record are %q, want %q", got, want)
		}
	})
}

// What an item is after it came by a list: in process, without a verdict, older
// than the log; its serials go on where the last one was.
func TestItemsThatAreOlderThanTheLog(t *testing.T) {
	each(t, func(t *testing.T, d desk) {
		before, after := d.stored(t), map[string]int(nil)
		last := d.Serial[models.KindWheel]
		raw := "kind;product;supplier;model;number;built on\nwheel;wheel one;;;R-118;05.03.2024\nmotor;;Norvik;R9;N2;\nwheel;wheel one;;;R-119;\npack;pack one;;;P-7;2030-12-31\n"
		if report := d.take(t, "items", raw); report.New != 4 || report.Given != 3 {
			t.Fatalf("%+v", report)
		}
		after = d.stored(t)
		for table := range after {
			if more := after[table] - before[table]; more != map[string]int{"items": 4, "trail_entries": 4}[table] {
				t.Errorf("%s: %d more", table, more)
			}
		}
		found, err := d.Store.ItemsByMakerNumbers(t.Context(), []string{"R-118", "R-119", "N2", "P-7"})
		d.Must(err)
		by := map[string]models.Item{}
		for _, i := range found {
			by[*i.MakerNumber] = i
		}
		for number, want := range map[string]struct {
			builtOn, origin string
			older           bool
		}{"R-118": {"2024-03-05", "made", true}, "R-119": {"", "made", true}, "N2": {"", "received", false}, "P-7": {"2030-12-31", "made", true}} {
			i := by[number]
			if i.BuiltOn != want.builtOn || i.Origin != want.origin || i.OlderThanLog() != want.older || i.State != models.StateInProcess || !i.CreatedAt.Equal(d.Now) || i.CreatedBy != d.Owner.PersonID {
				t.Errorf("%s is %+v", number, i)
			}
		}
		_, _, counter, err := ident.Parts(last)
		d.Must(err)
		next, counter, err := ident.Next(ident.Wheel, 31, counter)
		d.Must(err)
		second, counter, err := ident.Next(ident.Wheel, 31, counter)
		d.Must(err)
		if *by["R-118"].Serial != next || *by["R-119"].Serial != second || by["N2"].Serial != nil {
			t.Errorf("serials are %s and %s, want %s and %s", *by["R-118"].Serial, *by["R-119"].Serial, next, second)
		}
		third, _, err := ident.Next(ident.Wheel, 31, counter)
		d.Must(err)
		if made := d.AnotherWheel(); *made.Serial != third {
			t.Errorf("the next wheel is %s, want %s", *made.Serial, third)
		}
		life, err := d.Store.ItemLife(t.Context(), by["R-118"].ID)
		d.Must(err)
		if got := life.Since.Format("2006-01-02"); got != "2024-03-05" {
			t.Errorf("it is here since %s", got)
		}
		if again := d.take(t, "items", raw); again.Same != 4 || again.New != 0 {
			t.Errorf("sent again: %+v", again)
		}
	})
}
