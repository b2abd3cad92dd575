package servertest

import (
	"net/http"
	"regexp"
	"strings"
	"testing"

	"tracewright/models"
	"tracewright/models/trade/ident"
	"tracewright/server/api"
	"tracewright/server/app"
)

var (
	// A code without words is shown in brackets, a value without a name in braces.
	codeWithoutWords = regexp.MustCompile(`\[[a-z][a-z0-9_.]+\]`)
	valueWithoutName = regexp.MustCompile(`\{[a-z_]+\}`)
	idOnPage         = regexp.MustCompile(`<[a-z][^>]*\sid="([^"]+)"`)
	inTags           = regexp.MustCompile(`(?s)<script.*?</script>|<[^>]*>`)
)

// Every page that looks at something, over a shop with a wheel that failed, was
// trued, certified, held and lifted, a pack, and one of everything else: it
// opens, and nothing on it is left without words.
func TestEveryPageOpensWithRealRecords(t *testing.T) {
	Each(t, func(t *testing.T, s *Shop) {
		fill := s.everyPage(t)
		for _, route := range app.Routes(s.App.Services) {
			if route.Method != http.MethodGet || strings.HasPrefix(route.Path, "/api/") || strings.HasPrefix(route.Path, "/static/") || strings.HasPrefix(route.Path, "/setup/") || route.Path == "/trust/authority.crt" || route.Path == "/floor-worker.js" {
				continue
			}
			values := fill[route.Path]
			if values == nil && strings.Contains(route.Path, ":") {
				t.Errorf("page %s is not opened: say with what", route.Path)
			}
			for _, path := range paths(route.Path, values) {
				t.Run(path, func(t *testing.T) { s.opens(t, path) })
			}
		}
	})
}

// everyPage gives the shop such a past, and tells what each page that looks at
// one record looks at.
func (s *Shop) everyPage(t *testing.T) map[string][]string {
	t.Helper()
	number := s.busy(t)
	wheel, pack := s.Item[models.KindWheel], s.Item[models.KindPack]
	holds, err := s.Store.OpenHolds(t.Context(), pack.ID)
	s.Must(err)
	rolls, err := s.Store.Rolls(t.Context())
	s.Must(err)
	devices, err := s.Store.Devices(t.Context()) // by their names: the gauge first
	s.Must(err)
	drafts, err := s.Store.OpenDrafts(t.Context())
	s.Must(err)
	inspections, err := s.Store.InspectionsOf(t.Context(), wheel.ID)
	s.Must(err)
	charge, test := s.chargedAndTested(t, pack)
	in := s.stocked(t)
	called := s.recalled(t, "SP-0214")
	box := s.kitted(t)
	parts, err := s.Store.Parts(t.Context(), wheel.ID)
	s.Must(err)
	claimed := s.claimed(t)
	photo := s.photographed(t, claimed)
	doubted, action := s.doubted(t)
	paper := s.lookedAfter(t, "SP-0214", "BIN-1")
	failed := s.failedGauge(t)
	study, open := s.studied(t, true), s.studied(t, false)
	s.run(t, Row{Who: Inspector, Method: http.MethodPost, Path: api.Base + study + "/confirm", Status: http.StatusOK})
	budgets, err := s.Store.Budgets(t.Context(), *wheel.FamilyID)
	s.Must(err)
	readings, err := s.Store.StudyNumbered(t.Context(), 1)
	s.Must(err)
	running := strings.TrimPrefix(open, "/studies/")
	looked, _, err := s.App.Services.Reviews.Make(t.Context(), s.Shop.Owner, models.ReviewWeek, s.Now.Format("2006-01-02"))
	s.Must(err)
	fill := map[string][]string{
		"/attention":                                   {"", "?as=csv"},
		"/reviews/:id":                                 {looked.ID, looked.ID + "?as=csv&plot=0"},
		"/reviews/:id/paper":                           {looked.ID + "/paper"},
		"/failures":                                    {"", "?by=cost&what=pack", "?by=severity&code=W01&what=" + *wheel.FamilyID, "?from=2031-05-12&to=2031-05-01", "?what=block", "?from=1999-01-01&to=1999-01-02&place=nowhere", "?as=csv", "?as=csv&table=costs", "?as=csv&table=weeks", "?as=csv&table=groups", "?as=csv&table=months", "?as=csv&table=later&from=1999-01-01&to=1999-01-02"},
		"/failures/items":                              {"", "?failed=yes", "?code=W01", "?from=x"},
		"/how-good":                                    {"", "?as=csv", "?family=" + *wheel.FamilyID + "&result=lateral_tir", "?family=" + *wheel.FamilyID + "&result=lateral_tir&as=csv", "?family=" + *wheel.FamilyID + "&result=lateral_tir&as=csv&table=lots", "?family=" + *wheel.FamilyID + "&result=dish_offset&place=stand+1&period=all", "?family=" + *pack.FamilyID + "&result=ocv_lowest&product=" + *pack.ProductID},
		"/returns":                                     {"", "?family=" + *wheel.FamilyID + "&lag=7&months=12", "?as=csv", "?family=" + *pack.FamilyID + "&as=csv&table=curve", "?family=" + *wheel.FamilyID + "&as=csv&table=lots", "?family=" + *wheel.FamilyID + "&lot=SP-0214", "?family=" + *wheel.FamilyID + "&lot=none", "?family=" + *pack.FamilyID + "&lag=x"},
		"/differences":                                 {"", "?finding=gone", "?as=csv"},
		"/effect":                                      {"", "?family=" + *wheel.FamilyID + "&result=lateral_tir&on=2031-05-12", "?family=" + *pack.FamilyID + "&result=ocv_lowest&on=2031-05-12&days=0", "?on=yesterday&days=x", "?on=2099-01-01", "?on=1999-01-01", "?as=csv", "?as=csv&on=2031-05-12"},
		"/returns/items":                               {"?family=" + *wheel.FamilyID, "?family=" + *wheel.FamilyID + "&lot=SP-0214", "?family=" + *wheel.FamilyID + "&month=2031-05", "?family=" + *wheel.FamilyID + "&month=2031-05&age=0"},
		"/instruments/:code/calibrate":                 {"D-1"},
		"/instruments/:code/checks/:id":                {"D-1/checks/" + failed.check},
		"/instruments/:code/traces/:id":                {"D-1/traces/" + failed.trace, "D-1/traces/" + failed.trace + "?show=good"},
		"/instruments/:code/traces/:id/hold":           {"D-1/traces/" + failed.trace + "/hold"},
		"/studies/:number":                             {"1", running},
		"/studies/:number/sheet":                       {running + "/sheet"},
		"/studies/:number/read":                        {running + "/read", "1/read"},
		"/studies/:number/strike":                      {"1/strike?reading=" + readings.Readings[0].ID},
		"/studies/:number/give-up":                     {running + "/give-up"},
		"/budgets/:id":                                 {budgets[0].ID},
		"/budgets/new":                                 {"?about=" + *wheel.FamilyID + "/lateral_tir", "?about=" + *wheel.FamilyID + "/dish_abs"},
		"/families/:id/rule":                           {*wheel.FamilyID + "/rule?result=lateral_tir", *wheel.FamilyID + "/rule?result=dish_abs"},
		"/products/:id/rule":                           {*wheel.ProductID + "/rule?result=dish_abs"},
		"/lists/out":                                   {"?kind=lots", "?kind=items&form=semicolons", "?kind=build-records", "?kind=customers", "?kind=results", "?kind=shipments&names=yes"},
		"/items/:serial/place":                         {*pack.Serial},
		"/items/:serial/capacity/new":                  {*pack.Serial},
		"/items/:serial/capacity/:id":                  {*pack.Serial + "/capacity/" + test},
		"/families/:id/steps":                          {*pack.FamilyID},
		"/charges/:id/end":                             {charge},
		"/drafts/:id/set-aside":                        {drafts[0].ID},
		"/items/:serial":                               {*wheel.Serial, *pack.Serial, in.block},
		"/blocks":                                      {"", "?model=" + in.model.ID + "&lot=BL-77"},
		"/blocks/lots/:lot":                            {"BL-77"},
		"/blocks/set-aside":                            {"?block=" + in.block, "?lot=BL-77", "?lot=BL-77&flagged=yes"},
		"/blocks/release":                              {"?block=" + in.block},
		"/match/pick":                                  {"?product=" + in.packs.ID, "?product=" + in.packs.ID + "&pick=" + in.block},
		"/match/:id":                                   {in.match},
		"/match/:id/drop":                              {in.match},
		"/items/:serial/release":                       {*wheel.Serial},
		"/items/:serial/hold":                          {*wheel.Serial},
		"/certificates/:number/:revision":              {number + "/1"},
		"/certificates/:number/:revision/void":         {number + "/1"},
		"/certificates/:number/:revision/original":     {number + "/1"},
		"/families/:id":                                {*wheel.FamilyID, *pack.FamilyID, in.model.FamilyID},
		"/families/:id/products/new":                   {*wheel.FamilyID, *pack.FamilyID, in.model.FamilyID},
		"/families/:id/specification":                  {*wheel.FamilyID, *pack.FamilyID},
		"/products/:id":                                {*wheel.ProductID, *pack.ProductID, in.model.ID, in.packs.ID},
		"/products/:id/revise":                         {*wheel.ProductID, *pack.ProductID, in.model.ID, in.packs.ID},
		"/products/:id/specification":                  {*wheel.ProductID},
		"/specifications/:id":                          {s.specificationOf(t, wheel), s.specificationOf(t, pack)},
		"/instruments/:code":                           {"D-1", "D-2", "T-1"},
		"/inspections/:id/move":                        {inspections[0].ID},
		"/holds/:id/lift":                              {holds[0].ID},
		"/lots/:code/hold":                             {"SP-0214"},
		"/recalls/:number":                             {called},
		"/recalls/:number/end":                         {called + "/end"},
		"/recalls/:number/contacts.csv":                {called + "/contacts.csv"},
		"/kits/:serial":                                {box.kit},
		"/kits/:serial/certificates":                   {box.kit + "/certificates"},
		"/kits/:serial/out":                            {box.kit + "/out?item=" + *wheel.Serial},
		"/shipments/:number":                           {box.number},
		"/shipments/:number/certificates":              {box.number + "/certificates"},
		"/shipments/:number/packing-list":              {box.number + "/packing-list"},
		"/shipments/:number/labels":                    {box.number + "/labels"},
		"/shipments/:number/labels.pdf":                {box.number + "/labels.pdf"},
		"/shipments/:number/void":                      {box.number + "/void"},
		"/customers/:id":                               {box.customer},
		"/customers/:id/erase":                         {box.customer + "/erase"},
		"/items/:serial/others":                        {*wheel.Serial, *pack.Serial},
		"/claims/:number":                              {claimed},
		"/check-lists/:symptom":                        {"hot_or_swollen"},
		"/nonconformities/:number":                     {doubted, doubted + "?what=rework", doubted + "?what=scrap"},
		"/items/:serial/nonconforming":                 {*wheel.Serial + "/nonconforming", *pack.Serial + "/nonconforming?code=P02"},
		"/corrective-actions/:number":                  {action},
		"/defects/:code":                               {"W01", "new"},
		"/claims/:number/close":                        {claimed + "/close"},
		"/claims/:number/erase":                        {claimed + "/erase"},
		"/claims/:number/photos/:id/erase":             {claimed + "/photos/" + photo + "/erase"},
		"/items/:serial/parts":                         {*wheel.Serial, *pack.Serial},
		"/items/:serial/parts/:fitted":                 {*wheel.Serial + "/parts/" + parts[0].ID},
		"/lots/:code":                                  {"SP-0214", "BIN-1"},
		"/lots/:code/inspect":                          {"SP-0214"},
		"/lots/:code/accept":                           {"SP-0214"},
		"/lots/:code/quarantine":                       {"SP-0214"},
		"/lots/:code/concession":                       {"SP-0214"},
		"/lots/:code/return":                           {"SP-0214"},
		"/lots/:code/scrap":                            {"SP-0214"},
		"/lots/:code/count":                            {"SP-0214"},
		"/lots/:code/explain":                          {"SP-0214"},
		"/lots/:code/mix":                              {"SP-0214"},
		"/lots/:code/papers":                           {"SP-0214"},
		"/papers/:id":                                  {paper, photo},
		"/materials/:code":                             {"spokes"},
		"/items/:serial/sources":                       {*wheel.Serial, *pack.Serial, box.kit},
		"/rolls/:id/serials":                           {rolls[0].ID},
		"/rolls/:id/labels":                            {rolls[0].ID},
		"/rolls/:id/labels.pdf":                        {rolls[0].ID},
		"/items/:serial/label":                         {*wheel.Serial, *pack.Serial},
		"/items/:serial/label.pdf":                     {*wheel.Serial, *pack.Serial},
		"/lots/:code/label":                            {"SP-0214"},
		"/lots/:code/label.pdf":                        {"SP-0214"},
		"/labels.pdf":                                  {"?serials=" + *wheel.Serial + "," + *pack.Serial},
		"/people/:id":                                  {s.People[Operator].ID},
		"/people/:id/second":                           {s.People[Operator].ID + "/second", s.People[Owner].ID + "/second"},
		"/customers/:id/data.json":                     {box.customer + "/data.json"},
		"/find":                                        {"?q=" + (*wheel.Serial)[4:]},
		"/charts":                                      {"", "?family=" + *wheel.FamilyID + "&result=lateral_tir", "?family=" + *wheel.FamilyID + "&result=radial_tir&place=stand+1"},
		"/api/v1/papers/:id":                           {paper, photo},
		"/api/v1/reviews/:id/paper":                    {looked.ID + "/paper"},
		"/api/v1/items/:item/label":                    {*wheel.Serial + "/label"},
		"/api/v1/lots/:code/label":                     {"SP-0214/label"},
		"/api/v1/rolls/:id/labels":                     {rolls[0].ID + "/labels"},
		"/api/v1/shipments/:number/labels":             {box.number + "/labels"},
		"/api/v1/certificates/:number/:revision/paper": {number + "/1/paper"},
		"/api/v1/certificates/:number/:revision/paper/original": {number + "/1/paper/original"},
		"/devices/:id/revoke": {devices[0].ID + "/revoke", devices[1].ID + "/revoke"},
		"/devices/:id/settle": {devices[1].ID + "/settle"},
	}
	return fill
}

func TestAnItemHasOneAddress(t *testing.T) {
	s := On(t, openSQLite(t))
	serial := *s.Item[models.KindWheel].Serial
	for _, typed := range []string{ident.Print(serial), strings.ToLower(serial), s.Item[models.KindWheel].ID} {
		s.run(t, Row{Who: Desk, Path: "/items/" + typed + "?inspection=x", Status: http.StatusFound, Has: []string{"/items/" + serial + "?inspection=x"}})
	}
}

func TestFindingNothingIsSaid(t *testing.T) {
	s := On(t, openSQLite(t))
	s.run(t, Row{Who: Desk, Path: "/find?q=nothing", Status: http.StatusNotFound, Has: []string{"nothing"}})
}

// paths puts each value in the place of a path's first parameter and all behind
// it that the value brings; a query is put at the end.
func paths(path string, values []string) []string {
	before, rest, parameters := strings.Cut(path, "/:")
	if !parameters {
		if len(values) == 0 {
			values = []string{""}
		}
		for i, v := range values {
			values[i] = path + v
		}
		return values
	}
	rest = "/:" + rest
	var list []string
	for _, v := range values {
		end := rest
		for range strings.Split(v, "/") {
			_, end, _ = strings.Cut(end[1:], "/")
			end = "/" + end
		}
		list = append(list, strings.TrimSuffix(before+"/"+v+end, "/"))
	}
	return list
}

// opens looks at a page as the owner.
func (s *Shop) opens(t *testing.T, path string) {
	t.Helper()
	status, header, body := s.Do(t, Row{Who: Owner, Path: path})
	if status == http.StatusSeeOther || status == http.StatusMovedPermanently {
		status, header, body = s.Do(t, Row{Who: Owner, Path: header.Get("Location")})
	}
	if status != http.StatusOK && status != http.StatusNoContent {
		t.Fatalf("status %d: %s", status, shortened(body))
	}
	if !strings.HasPrefix(header.Get("Content-Type"), "text/html") {
		return
	}
	text := inTags.ReplaceAllString(string(body), " ")
	for _, bad := range append(codeWithoutWords.FindAllString(text, 3), valueWithoutName.FindAllString(text, 3)...) {
		t.Errorf("%s stands on the page without words", bad)
	}
	seen := map[string]bool{}
	for _, id := range idOnPage.FindAllStringSubmatch(string(body), -1) {
		if seen[id[1]] {
			t.Errorf("the id %q stands twice on the page", id[1])
		}
		seen[id[1]] = true
	}
}

// busy gives the shop a past, and returns the number of its certificate.
func (s *Shop) busy(t *testing.T) string {
	t.Helper()
	do := func(who string, row Row, status int) []byte {
		t.Helper()
		row.Who = who
		got, _, body := s.Do(t, row)
		if got != status {
			t.Fatalf("%s %s: status %d, want %d: %s", row.Method, row.Path, got, status, shortened(body))
		}
		return body
	}
	inspect := func(sub models.Submission, status int) {
		t.Helper()
		do(OperatorAtStand, Row{Path: "/api/v1/inspections", Body: sub}, status)
	}
	serial := s.Serial[models.KindWheel]
	do(Operator, Row{Path: "/api/v1/lots", Body: object{"code": "SP-0214", "material": "spokes", "quantity": 2000, "supplier": "Drahtwerk Anselm"}}, http.StatusCreated)
	do(Operator, Row{Path: "/api/v1/rolls", Body: object{"kind": "wheel", "count": 20}}, http.StatusCreated)
	bad, corrected, every, stranger, draft := s.Extremes(), s.Extremes(), s.EveryHole(), s.Extremes(), s.EveryHole()
	bad.Sets[0].Values = []string{"0.40", "-0.09"}
	bad.Sets[0].Instrument = "D-2" // Overdue.
	bad.Parts = []models.SentPart{{Role: "spokes_a", Lot: "SP-0214", Quantity: 18}}
	inspect(bad, http.StatusCreated)
	inspect(every, http.StatusCreated)
	corrected.Corrects, corrected.Reason = every.ID, "spoke 5 was read twice"
	inspect(corrected, http.StatusCreated)
	inspect(s.Pack(), http.StatusCreated)
	stranger.Serial = s.unknownSerial()
	inspect(stranger, http.StatusAccepted)
	draft.Serial = *s.AnotherWheel().Serial
	do(OperatorAtStand, Row{Method: http.MethodPut, Path: "/api/v1/drafts/" + draft.ID, Body: object{"version": 0, "content": draft}}, http.StatusCreated)
	for i := range 25 {
		one := s.Extremes()
		one.Serial = *s.AnotherWheel().Serial
		one.Sets[0].Values = []string{[]string{"0.11", "0.14", "0.19"}[i%3], "-0.05"}
		if i == 24 {
			one.Sets[0].Values[0] = "2.90"
		}
		inspect(one, http.StatusCreated)
	}
	do(Desk, Row{Path: "/api/v1/holds", Body: object{"item": s.Serial[models.KindPack], "code": "P02", "reason": "one block lower"}}, http.StatusCreated)
	certificate := do(OperatorAtStand, certify(serial, "", PIN), http.StatusCreated)
	return Decode[struct{ Number string }](t, certificate).Number
}

func (s *Shop) specificationOf(t *testing.T, item models.Item) string {
	t.Helper()
	specification, err := s.Store.SpecificationInForce(t.Context(), *item.FamilyID, item.ProductID)
	s.Must(err)
	return specification.ID
}
