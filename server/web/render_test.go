package web

import (
	"reflect"
	"regexp"
	"strings"
	"testing"

	"tracewright/models"
	"tracewright/models/words"
	"tracewright/models/work/trace"
)

// samplePages holds, for each template, its page empty and filled. A template
// without a row here fails TestEveryTemplateIsRendered.
func samplePages() map[string][]any {
	s := sampleSite()
	f := newForm(func(string) string { return "0,3x" }, models.Invalid("form.wheel.holes", "must_be_even"))
	owner := sampleFrame("Today", "/")
	bare := filled(map[string]string{})
	chart := func(n int) ChartPage {
		p := ChartPage{Frame: sampleFrame("Control chart", "/charts")}
		s.fillChart(&p, sampleChart(n), map[string]string{"p2": "Ana Reyes"}, charting{})
		p.Pickers = []Field{{Name: "family", ID: "family", Label: "Family", Kind: "select", Choices: []Choice{{"f1", "Rear wheels 559"}}}, {Name: "from", ID: "from", Label: "First day", Kind: "date", Optional: true}}
		p.Rules = []ChartRule{{"eight_one_side", "Eight or more in a row lie on the same side of the centre.", true}}
		if n > 20 {
			p.Cause = &CauseForm{ChartForm: ChartForm{Path: "/charts/causes", Hidden: [][2]string{{"family", "f1"}}, Fields: []Field{{Name: "code", ID: "code", Label: "Cause", Kind: "select"}}}, Title: "Why? No cause given for 5 days", Note: "W26-00129-X"}
			p.Baseline = &ChartForm{Path: "/charts/baselines", Fields: []Field{{Name: "first", ID: "baseline-first", Label: "First point"}}}
			p.Happened = &ChartForm{Path: "/charts/happenings", Open: true, Fields: []Field{{Name: "words", ID: "words", Label: "What happened"}}, Problems: Problems{Any: true, Count: "1 problem"}}
			p.Bands, p.Products, p.Together = []string{"The limits belong to specification 3; judge against 4 after a new baseline."}, []ChartProduct{{"Heron 26", "/charts", "12 wheels", "1.21 times its usual value"}}, "Since 14 May, all two products lie high"
		}
		return p
	}
	form := SpecificationForm{Frame: sampleFrame("Revise", "/specifications"), Of: "Rear wheels 559", Next: 4, Button: "See what changes"}
	wheelForm := models.ProductForm{Wheel: &models.WheelForm{Holes: 36}}
	spec := sampleSpecification(models.KindWheel, wheelForm)
	limited := specificationOwner{family: models.Family{Kind: models.KindWheel}, inForce: spec}
	changed := spec
	changed.Characteristics = append([]models.Characteristic{}, spec.Characteristics...)
	changed.Characteristics[0].Results = append([]models.Limit{}, spec.Characteristics[0].Results...)
	changed.Characteristics[0].Results[0].High = "0.20"
	form.fill(newForm(func(string) string { return "" }, models.Invalid("characteristics[0].results[0].high", "not_a_number", "typed", "0,3x")), limited, changed)
	form.Confirming, form.Changes = true, specificationChanges(spec, changed)
	shownSpec := SpecificationPage{Frame: sampleFrame("Specification", "/specifications"), Of: "Rear wheels 559", Revision: 4, InForce: true, Grade: "standard", RuleWords: english.RuleInWords("simple", nil), Before: "/specifications/s0", Changes: form.Changes}
	shownSpec.fill(changed, commonPractice(models.KindWheel, "standard", wheelForm))
	shownSpec.Answer = limitsAnswer(shownSpec)
	secret := Field{Name: "confirm.pin", ID: "confirm-pin", Label: "Your PIN", Kind: "password", Problem: "The PIN is wrong."}
	today := TodayPage{Frame: owner, Moment: "Monday 24 May 2027, 07:40", Answer: "Two things wait in the shop", Calm: "Nothing else: no inspection without a place.",
		Rows: []TodayRow{{Mark: Mark{"bars", "On hold", "hold"}, Title: []Span{{Text: "Wheel "}, {Text: "W26-00005-1", Mono: true, Path: "/items/W26000051"}, {Text: ": rim joint step"}}, Line: "Raised by Inge Okarra: step felt at the joint.", Since: "since 3 May 2027", Act: Act{Text: "Decide", Path: "/holds/h1/lift", First: true}, Larger: true},
			{Mark: Mark{"clock", "Gauge", "none"}, Title: []Span{{Text: "Dial indicator "}, {Text: "L-12", Mono: true}, {Text: " is due for calibration in 4 days"}}, Line: "Stand 1. Due on 28 May 2027.", Act: Act{Text: "Open the gauge", Path: "/instruments/L-12"}, Larger: true}},
		Drafts: []DraftRow{{ID: "d1", Serial: "W26-00007-3", What: "Wheel, after stress relief", Person: "Tam Vale", Saved: "07:12", Continue: "/stand?draft=d1"}, {ID: "d2", What: "Pack, final", Person: "Johanna Thorne", Saved: "07:31", Continue: "/bench?draft=d2", Mine: true}},
		Day:    "Today so far: 2 inspections of wheels and 1 of a pack; 2 of 3 passed.",
		Recent: []RecentRow{{"W26-00005-1", "/items/W26000051", "Quillet 26 rear", "after stress relief", models.VerdictPass, "Inge Okarra", "stand 2", "07:02"}, {"P27-0009Q-V", "/items/P270009QV", "Tamsin 48", "final", models.VerdictFail, "Tam Vale", "bench 1", "06:40"}}}
	return map[string][]any{
		"today": {TodayPage{Frame: owner}, today, sampleLongDay(today), TodayPage{Frame: owner, Answer: "Nothing waits in the shop", Steps: []Step{{Act{Text: "Name the shop", Path: "/shop"}, "It heads every certificate.", true}, {Act{Text: "Add the gauges", Path: "/instruments"}, "", false}}}},
		"signin": {SignInPage{}, SignInPage{Device: "Tablet 2, stand 2", People: []NameTile{{"p2", "Inge Okarra", "Inspector", true}, {"p3", "Tam Vale", "Operator", false}}, Login: bare.field(Field{Name: "login", Label: "Login"}), Password: bare.field(Field{Name: "password", Label: "Password", Kind: "password"})},
			SignInPage{Login: bare.field(Field{Name: "login", Label: "Login"}), Password: Field{ID: "password", Label: "Password", Kind: "password", Problem: "Login or password is wrong."}, Problems: Problems{Any: true, Count: "one answer needs a look, marked below"}}},
		"setup":       {SetupPage{}, SetupPage{First: true, Name: f.field(Field{Name: "name", Label: "Your name"})}},
		"setup_floor": {FloorSetupPage{Frame: owner}, sampleFloorSetup(owner)},
		"trust":       {TrustPage{}, trustPage(owner, []byte("any bytes"), "shop.local:8443", true)},
		"error":       {ErrorPage{}, ErrorPage{Frame: owner, Happened: "Not found", Means: errorWords["not_found"].means, Todo: errorWords["not_found"].todo, Reasons: []string{"A reason."}, Number: "0193"}},
		"find":        {FindPage{Frame: owner}, FindPage{Frame: owner, Answer: "Two items may be meant", Items: []FoundItem{{"W26-00005-1", "/items/W26000051", "wheel", itemMark(models.StateHeld), "3 May 2027"}}}, FindPage{Frame: owner, Answer: "Nothing is known by that", Advice: "It appears once it is first scanned.", Record: true}},
		"item":        {ItemPage{Frame: owner}, s.itemPage(owner, sampleWheel(), nil), sampleLabelled(s, owner), s.itemPage(owner, samplePack(), []models.Remark{models.NewRemark("on_hold", "code", "P02", "reason", "block spread")}), s.itemPage(owner, trace.ItemView{Item: models.Item{ID: "i3", Kind: models.KindWheel, Serial: text("W26000051")}}, nil)},
		"confirm":     {ConfirmPage{Frame: owner}, ConfirmPage{Frame: owner, About: "W26-00005-1", Mono: true, Title: "Issue its certificate", Says: []string{"Its content is frozen then."}, Fields: []Field{f.field(Field{Name: "reason", Label: "Why", Kind: "text area"})}, Secret: &secret, Button: "Issue certificate", Back: "/"}, ConfirmPage{Frame: owner, Title: "No", Refused: []string{"On hold."}}},
		"label":       sampleLabels(s, owner),
		"holds":       {HoldsPage{Frame: owner, Answer: "Nothing is on hold"}, HoldsPage{Frame: owner, Answer: "1 hold is open", Rows: today.Rows}, HoldsPage{Frame: owner, Answer: "212 holds are open; here 200 of them", Rows: today.Rows, Later: "/holds?after=x", Oldest: "/holds"}, HoldsPage{Frame: owner, Oldest: "/holds"}},
		"lot":         {LotPage{Frame: owner}, sampleLot(s, owner)},
		"parts":       {PartsPage{Frame: owner}, s.partsOf(owner, sampleRebuilt(), bare)},
		"lace": {LacePage{Frame: owner, Answer: "Which wheel?", Products: []Span{{Text: "Quillet 26 rear", Path: "/lace?product=d1"}}}, LacePage{Frame: owner, Name: "Quillet 26 rear", Answer: "2 wheels laced today", Told: "Spokes from lot SP-0931 from now on.",
			Motor: bare.field(Field{Name: "motor", Label: "Scan the motor, or another lot"}), Lots: []Field{bare.field(Field{Name: "rim", Label: "Rim"})}, Make: []Field{bare.field(Field{Name: "model", Label: "Its model"})}, Over: true, Rows: []LacedRow{{Serial: "W27-00002-6", Newest: true}, {Serial: "W27-00001-8"}}}},
		"in_work":    {InWorkPage{Frame: owner}, s.inWorkPage(owner, sampleInWork())},
		"sources":    {SourcesPage{Frame: owner}, s.sourcesPage(owner, sampleSources())},
		"shelf":      {ShelfPage{Frame: owner}, s.shelfPage(owner, sampleShelf(), shelfAsk{}), s.shelfPage(owner, sampleShelf(), shelfAsk{Group: "later", From: 3})},
		"capacity":   {CapacityPage{Frame: owner}, s.capacityPage(owner, "P27-0009Q-V", "/items/P270009QV", sampleDischarge())},
		"unplaced":   {UnplacedPage{Frame: owner}, UnplacedPage{Frame: owner, Answer: "1 inspection has no place yet", Rows: []UnplacedRow{{ID: "u1", Serial: "W26-00009-9", Cause: "No item has the serial W26-00009-9.", Settle: true, SerialField: bare.field(Field{Name: "serial", Label: "Belongs to serial"}), Reason: bare.field(Field{Name: "reason", Label: "How you know"})}}}},
		"chart":      {ChartPage{Frame: owner, Open: []OpenChart{{"/charts?result=dish_abs", "Dish, stand 1: one signal without a cause", "3 May 2027", false}, {"/charts", "Radial run-out: 2 signals without a cause", "4 May 2027", true}}}, chart(0), chart(1), chart(4), chart(130)},
		"families":   {FamiliesPage{Frame: owner}, FamiliesPage{Frame: owner, Groups: []FamilyLine{{Name: "Rear wheels 559", Path: "/families/f1", Kind: "wheel", Specification: "specification 3", Products: []ProductLine{{"Quillet 26 rear", "/products/d1"}}}}}},
		"family":     {FamilyPage{Frame: owner}, FamilyPage{Frame: owner, Name: "Rear wheels 559", Specifications: []SpecificationLine{{Of: "Rear wheels 559", Revision: 3, InForce: true}, {Of: "Rear wheels 559", Revision: 2}}}},
		"family_new": {FamilyForm{Frame: owner}, FamilyForm{Frame: owner, Fields: []Field{f.field(Field{Name: "name", Label: "Name"})}}},
		"product":    {ProductPage{Frame: owner}, ProductPage{Frame: owner, Name: "Quillet 26 rear", Groups: pairs(models.KindWheel, usual(models.KindWheel)), Revisions: []RevisionLine{{Revision: 2, Reason: "New rim.", Changes: []Change{{"Rim", "Fennick", "Corran"}}}, {Revision: 1}}}},
		"product_form": {ProductFormPage{Frame: owner}, ProductFormPage{Frame: owner, Title: "Add a product", Groups: productGroups(models.KindWheel, f), Problems: f.summary()},
			ProductFormPage{Frame: owner, Title: "Revise", Groups: productGroups(models.KindPack, filled(formValues(usual(models.KindPack)))), From: 1, Confirming: true, Changes: []Change{{"Blocks in a string", "4", "5"}}}},
		"specifications":     {SpecificationsPage{Frame: owner}, SpecificationsPage{Frame: owner, Groups: []SpecificationGroup{{Name: "Rear wheels 559", Lines: []SpecificationLine{{Of: "Rear wheels 559", Revision: 3, InForce: true}}}}}},
		"specification":      {SpecificationPage{Frame: owner}, shownSpec},
		"specification_form": {SpecificationForm{Frame: owner}, form},
		"people":             {PeoplePage{Frame: owner}, PeoplePage{Frame: owner, Answer: "2 people work here", Link: "http://127.0.0.1/setup/x", For: "Tam Vale", Rows: []PersonRow{{Name: "Tam Vale", Role: "Operator", Active: true, PIN: true}, {Name: "Ed Oster", Role: "Operator"}}}},
		"person":             {PersonPage{Frame: owner}, PersonPage{Frame: owner, Title: "Tam Vale", ID: "p3", Link: true, Fields: []Field{roleField(f)}, PIN: &secret}},
		"own":                {OwnPage{Frame: owner}, OwnPage{Frame: owner, Device: true}},
		"devices":            {DevicesPage{Frame: owner}, DevicesPage{Frame: owner, Answer: "One tablet is enrolled", Tablet: "Tablet 2", Rows: []DeviceRow{{Name: "Tablet 2", Place: "stand 2", Here: true}, {Name: "Tablet 1", Revoked: "3 May 2027"}}}},
		"lots":               {LotsPage{Frame: owner}, s.lotsPage(owner, sampleMaterials(), sampleLines(), map[string]bool{"l3": true}, "", ""), sampleSummed(s, owner)},
		"paper_add":          {PaperPage{Frame: owner}, PaperPage{Frame: owner, Code: "SP-0214", Fields: []Field{f.field(Field{Name: "file", Kind: "file", Label: "Take a photo", Camera: true, Accept: "image/*"})}}},
		"lot_inspect":        {InspectPage{Frame: owner}, InspectPage{Frame: owner, Code: "SP-0214", Ready: true, Title: "Look at 11 of 500 pieces", Sent: map[string]string{"plan": "zero"}, Plan: planFields(bare, models.PlanZero, models.PlanKinds), Faults: []FaultRow{{f.field(Field{Name: "bad[0].code", Label: "Fault", Kind: "select"}), f.field(Field{Name: "bad[0].count", Label: "Bad ones"})}}}},
		"materials":          {MaterialsPage{Frame: owner}, s.materialsPage(owner, sampleMaterials(), sampleLines(), []models.Supplier{{Name: "Orlo"}, {Name: "Nobody yet"}})},
		"material":           {MaterialPage{Frame: owner}, MaterialPage{Frame: owner, Title: "Spokes", Fields: []Field{f.field(Field{Name: "name", Label: "Name"})}, Plan: planFields(bare, models.PlanSingle, models.PlanKinds)}},
		"receive":            {ReceiveForm{Frame: owner}, ReceiveForm{Frame: owner, Title: "Receive a lot", Fields: []Field{bare.field(Field{Name: "code", Label: "Lot", Mono: true})}}},
		"rolls":              {RollsPage{Frame: owner}, RollsPage{Frame: owner, Rows: []RollRow{{First: "W27-00001-8", Last: "W27-00099-3", Count: 88}}}},
		"changes":            changesPages(s, owner),
		"shop":               {ShopPage{Frame: owner}, ShopPage{Frame: owner, Answer: "Harbour Wheelworks", Fields: shopFields(bare)}},
		"instruments":        {InstrumentsPage{Frame: owner}, InstrumentsPage{Frame: owner, Rows: []InstrumentRow{{Code: "L-14", Kind: "Dial indicator", Standing: standingMark("overdue")}}}},
	}
}

// notOnAPage is what the content policy forbids, and what shows that a value
// was missing: a code without words, a template's zero.
var notOnAPage = map[string]*regexp.Regexp{
	"inline style":       regexp.MustCompile(`\sstyle="`),
	"inline script":      regexp.MustCompile(`<script(?:\s[^>]*)?>[^<]`),
	"handler attribute":  regexp.MustCompile(`\son[a-z]+="`),
	"code without words": regexp.MustCompile(`>[^<]*\[[a-z_]+\.?[a-z_]+\][^<]*<`),
	"value not filled":   regexp.MustCompile(`>[^<]*\{[a-z_]+\}[^<]*<`),
	"template error":     regexp.MustCompile(`<no value>|%!|ZgotmplZ`),
	"not a number":       regexp.MustCompile(`NaN|Inf\b`),
}

func TestEveryTemplateIsRendered(t *testing.T) {
	samples := samplePages()
	for name, list := range stockPages(sampleSite(), sampleFrame("Blocks", "/blocks")) {
		samples[name] = append(samples[name], list...)
	}
	for name, list := range shippingPages(sampleSite(), sampleFrame("Kits", "/kits"), filled(nil)) {
		samples[name] = append(samples[name], list...)
	}
	for name, list := range recallPages(sampleSite(), sampleFrame("Recalls", "/recalls"), filled(nil)) {
		samples[name] = append(samples[name], list...)
	}
	for name, list := range claimPages(sampleSite(), sampleFrame("Claims", "/claims")) {
		samples[name] = append(samples[name], list...)
	}
	for name, list := range gaugePages(sampleSite(), sampleFrame("Instruments", "/instruments"), filled(nil)) {
		samples[name] = append(samples[name], list...)
	}
	for name, list := range failurePages(sampleSite(), sampleFrame("What fails", failuresPath)) {
		samples[name] = append(samples[name], list...)
	}
	for name, list := range reviewPages(sampleSite(), sampleFrame("Review", "/reviews")) {
		samples[name] = append(samples[name], list...)
	}
	for name, list := range attentionPages(sampleSite(), sampleFrame("Needs attention", "/attention")) {
		samples[name] = append(samples[name], list...)
	}
	for name, list := range nonconformingPages(sampleSite(), sampleFrame("Nonconformities", "/nonconformities")) {
		samples[name] = append(samples[name], list...)
	}
	for name, list := range differencePages(sampleSite(), sampleFrame("What differs?", "/differences")) {
		samples[name] = append(samples[name], list...)
	}
	for name, list := range accountPages(sampleSite(), sampleFrame("Accounts", "/own"), filled(nil)) {
		samples[name] = append(samples[name], list...)
	}
	for name, list := range backupPages(sampleSite(), sampleFrame("Backups", "/backups")) {
		samples[name] = append(samples[name], list...)
	}
	for name, list := range studyPages(sampleSite(), sampleFrame("Gauge studies", "/studies")) {
		samples[name] = append(samples[name], list...)
	}
	for name, list := range goodPages(sampleSite(), sampleFrame("How good", "/how-good")) {
		samples[name] = append(samples[name], list...)
	}
	for name, list := range listPages(sampleFrame("Lists in and out", "/lists")) {
		samples[name] = append(samples[name], list...)
	}
	for name := range pages {
		if strings.HasPrefix(name, "stand") || strings.HasPrefix(name, "bench") || strings.HasPrefix(name, "floor") || name == "blocks_in" {
			continue // Their own test renders them.
		}
		if len(samples[name]) == 0 {
			t.Errorf("template %s has no sample", name)
		}
	}
	for name, list := range samples {
		for i, page := range list {
			// The layout asks the page itself, and would be given another thing of that name.
			for field := range reflect.TypeFor[Frame]().Fields() {
				if of, found := reflect.TypeOf(page).FieldByName(field.Name); found && len(of.Index) == 1 && !of.Anonymous {
					t.Errorf("template %s: %T has a %s of its own, which hides its frame's", name, page, field.Name)
				}
			}
			body, err := renderPage(name, page)
			if err != nil {
				t.Errorf("%s, sample %d: %v", name, i, err)
				continue
			}
			for what, pattern := range notOnAPage {
				if found := pattern.Find(body); found != nil {
					t.Errorf("%s, sample %d: %s: %.120s", name, i, what, found)
				}
			}
			if n := strings.Count(string(body), "<h1"); n != 1 {
				t.Errorf("%s, sample %d: %d h1, want 1", name, i, n)
			}
		}
	}
}

// A year of wheels is about a thousand points. What the page sends for each is
// bounded, or a tablet on a slow line waits for its chart; 200 kB for a thousand
// is a second at 1.6 Mbit/s.
func TestAChartOfAThousandPointsIsLean(t *testing.T) {
	p := ChartPage{Frame: sampleFrame("Control chart", "/charts")}
	s := sampleSite()
	s.fillChart(&p, sampleChart(1000), nil, charting{})
	body, err := renderPage("chart", p)
	if err != nil {
		t.Fatal(err)
	}
	if len(body) > 200_000 {
		t.Errorf("%d bytes, want at most 200,000", len(body))
	}
	for _, row := range []string{p.Table[0].Serial, p.Table[999].Serial, p.Table[0].Signal} {
		if row == "" || !strings.Contains(string(body), row) {
			t.Errorf("%q is not on the page", row)
		}
	}
}

// One filled button a page is the rule of the looks: the likeliest next act.
func TestOneFilledButtonAPage(t *testing.T) {
	filledButton := regexp.MustCompile(`class="act first`)
	for name, list := range samplePages() {
		for i, page := range list {
			body, err := renderPage(name, page)
			if err != nil {
				t.Fatal(err)
			}
			if n := len(filledButton.FindAll(body, -1)); n > 1 {
				t.Errorf("%s, sample %d: %d filled buttons", name, i, n)
			}
		}
	}
}

func TestLabelsBelongToTheirFields(t *testing.T) {
	label, id := regexp.MustCompile(`<label for="([^"]*)"`), regexp.MustCompile(`\sid="([^"]*)"`)
	for name, list := range samplePages() {
		for i, page := range list {
			body, _ := renderPage(name, page)
			ids := map[string]int{}
			for _, m := range id.FindAllSubmatch(body, -1) {
				ids[string(m[1])]++
				if string(m[1]) != "" && ids[string(m[1])] == 2 && string(m[1]) != "hatch" {
					t.Errorf("%s, sample %d: id %q stands twice", name, i, m[1])
				}
			}
			for _, m := range label.FindAllSubmatch(body, -1) {
				if string(m[1]) != "" && ids[string(m[1])] == 0 {
					t.Errorf("%s, sample %d: label for %q has no field", name, i, m[1])
				}
			}
		}
	}
}

func TestDecimalSplitsAtThePoint(t *testing.T) {
	for _, tt := range []struct{ in, want string }{
		{"0.23", `0<span class="fr">.23</span>`},
		{"-1.5", words.Minus + `1<span class="fr">.5</span>`},
		{"12", `12<span class="fr"></span>`},
		{"<b>", `&lt;b&gt;<span class="fr"></span>`},
	} {
		if got := string(decimal(tt.in)); got != tt.want {
			t.Errorf("decimal(%q) = %s, want %s", tt.in, got, tt.want)
		}
	}
}
