package servertest

import (
	"bytes"
	"image"
	"image/jpeg"
	"io"
	"mime/multipart"
	"net/http"
	"net/url"
	"slices"
	"strings"
	"testing"

	"tracewright/models"
	"tracewright/models/work/documents"
	"tracewright/models/work/receive"
	"tracewright/server/httpx"
)

// photo is a small JPEG.
func photo(t testing.TB) []byte {
	t.Helper()
	var b bytes.Buffer
	if err := jpeg.Encode(&b, image.NewGray(image.Rect(0, 0, 8, 8)), nil); err != nil {
		t.Fatal(err)
	}
	return b.Bytes()
}

// pdf is the head and end of a paper, which is what it is told by.
const pdf = "%PDF-1.4\n%\xe2\xe3\xcf\xd3\n1 0 obj<<>>endobj\ntrailer<<>>\n%%EOF\n"

// lookedAfter gives a lot one of everything that may be recorded of it, and
// returns the key of its paper.
func (s *Shop) lookedAfter(t *testing.T, lot, bin string) string {
	t.Helper()
	ctx, goods := t.Context(), s.App.Services.Receive
	plan := models.LotPlan{Kind: models.PlanZero, Bad: "20", Risk: "10"}
	for _, in := range []receive.Looked{{Lot: lot, Plan: plan, Looked: 3}, {Lot: lot, Plan: plan, Looked: 12}, {Lot: lot, Plan: plan, Looked: 12, Bad: []models.DefectCount{{Code: "W13", Count: 2}}}} {
		_, err := goods.Inspect(ctx, s.Shop.Operator, in)
		s.Must(err)
	}
	for _, d := range []receive.Decided{{Lot: lot, Decision: models.LotReturn, Quantity: 5, Reason: "short"}, {Lot: lot, Decision: models.LotConcession, Reason: "for a trial"}} {
		_, err := goods.Decide(ctx, s.Shop.Owner, d)
		s.Must(err)
	}
	s.Must(goods.Scrap(ctx, s.Shop.Operator, receive.Scrapped{Lot: lot, Quantity: 4, Code: "W09"}))
	s.Must(goods.Mix(ctx, s.Shop.Operator, receive.Mixed{Bin: bin, Lots: []receive.Poured{{Lot: lot, Quantity: 20}}}))
	for range 2 {
		_, err := goods.Count(ctx, s.Shop.Operator, lot, 7)
		s.Must(err)
		s.Must(goods.Explain(ctx, s.Shop.Operator, lot, "a bag is missing"))
	}
	_, err := goods.Count(ctx, s.Shop.Operator, lot, 7)
	s.Must(err)
	story, err := goods.Story(ctx, lot)
	s.Must(err)
	s.Must(s.App.Services.Documents.Add(ctx, s.Shop.Operator, models.SubjectLot, story.Lot.ID, documents.Sent{Name: "note.pdf", Bytes: []byte(pdf)}))
	s.Must(s.App.Services.Documents.Add(ctx, s.Shop.Operator, models.SubjectLotCheck, story.Checks[0].ID, documents.Sent{Name: "p", Bytes: photo(t)}))
	papers, err := s.App.Services.Documents.Of(ctx, models.SubjectLot, story.Lot.ID)
	s.Must(err)
	return papers[0].ID
}

// form is a page's form as a browser sends it.
func form(name, who, path string, status int, values url.Values, says ...string) Row {
	return Row{Name: name, Who: who, Method: http.MethodPost, Path: path, Status: status, Has: says, Header: map[string]string{"Content-Type": "application/x-www-form-urlencoded"}, Body: values.Encode()}
}

// upload is a form with a file.
func upload(t *testing.T, name, who, path, file string, content []byte, status int, says ...string) Row {
	t.Helper()
	var b bytes.Buffer
	w := multipart.NewWriter(&b)
	for _, f := range []struct {
		name    string
		content []byte
	}{{"", nil}, {file, content}} { // The input that was left empty comes first.
		part, err := w.CreateFormFile("file", f.name)
		if err != nil {
			t.Fatal(err)
		}
		if _, err := part.Write(f.content); err != nil {
			t.Fatal(err)
		}
	}
	if err := w.WriteField("note", "as it came"); err != nil {
		t.Fatal(err)
	}
	if err := w.Close(); err != nil {
		t.Fatal(err)
	}
	return Row{Name: name, Who: who, Method: http.MethodPost, Path: path, Status: status, Has: says, Header: map[string]string{"Content-Type": w.FormDataContentType()}, Body: io.Reader(&b)}
}

// A lot through its pages: received, looked at, quarantined by what was found,
// decided about by who may, counted, explained, mixed; and who may do none of it.
func TestALotThroughItsPages(t *testing.T) {
	Each(t, func(t *testing.T, s *Shop) {
		lot := "/lots/SP-0931"
		plan := url.Values{"plan": {"zero"}, "bad_percent": {"20"}, "risk_percent": {"10"}}
		found := func(looked string, more ...string) url.Values {
			v := url.Values{"looked": {looked}}
			for k, x := range plan {
				v[k] = x
			}
			for i := 0; i < len(more); i += 2 {
				v.Set(more[i], more[i+1])
			}
			return v
		}
		s.Run(t, []Row{
			{Name: "a code with a sign of addresses in it is held under its own", Who: Operator, Path: "/lots/SP%3F9/hold", Status: http.StatusOK, Has: []string{`action="/lots/SP%3F9/hold"`}},
			form("the desk receives nothing", Desk, "/lots/new", http.StatusForbidden, url.Values{"code": {"SP-0931"}, "material": {"spokes"}}),
			form("received", Operator, "/lots/new", http.StatusSeeOther, url.Values{"code": {"]C0SP-0931"}, "material": {"spokes"}, "quantity": {"500"}, "supplier": {"Drahtwerk  Anselm"}, "supplier_code": {"]C1A77"}}),
			form("a label of the supplier", Operator, "/lots/new", http.StatusSeeOther, url.Values{"code": {"NP-0930"}, "material": {"nipples"}, "supplier_code": {"(01)09521234500018(11)310402(10)A-17(30)500"}}),
			{Name: "says lot, day, pieces and article", Who: Desk, Path: "/lots/NP-0930", Status: http.StatusOK, Has: []string{"A-17", "2031-04-02", "article 09521234500018", "500"}},
			form("a label with a slip", Operator, "/lots/new", http.StatusUnprocessableEntity, url.Values{"code": {"SP-0929"}, "material": {"spokes"}, "supplier_code": {"(01)09521234500019(10)A-17"}}, "the check digit of article 09521234500019 does not fit"),
			sent("read ahead by a program", Operator, "/lots/read", object{"text": "]C1010952123450001811310402"}, http.StatusOK, `"date_code":"2031-04-02"`, `"article":"09521234500018"`),
			sent("a date that is none", Operator, "/lots/read", object{"text": "(01)09521234500018(11)311302"}, http.StatusUnprocessableEntity, `"field":"text","code":"gs1_date"`, "made on 311302 is no date"),
			form("the code again", Operator, "/lots/new", http.StatusUnprocessableEntity, url.Values{"code": {"SP-0931"}, "material": {"spokes"}}, "taken already"),
			form("another of the supplier", Operator, "/lots/new", http.StatusSeeOther, url.Values{"code": {"SP-0932"}, "material": {"spokes"}, "quantity": {"100"}, "supplier": {"drahtwerk anselm"}}),
			{Name: "it stands there", Who: Desk, Path: lot, Status: http.StatusOK, Has: []string{"Nothing of this lot is built in", "Drahtwerk Anselm", "A77", "500"}, HasNot: []string{"]C", "Inspect"}},
			{Name: "the register knows one supplier", Who: Desk, Path: "/materials", Status: http.StatusOK, Has: []string{"Drahtwerk Anselm", "Nothing is short"}, HasNot: []string{"drahtwerk anselm", "Add a material"}},
			{Name: "it is offered while typing", Who: Operator, Path: "/lots/new", Status: http.StatusOK, Has: []string{`<datalist id="supplier-list"><option value="Drahtwerk Anselm">`, "data-scan"}},
			// C(400, n)/C(500, n) is 0.1050 at n = 10 and 0.0835 at n = 11, by another program.
			{Name: "what to look at", Who: OperatorAtStand, Path: lot + "/inspect", Status: http.StatusOK, Has: []string{"Look at 11 of 500 pieces", "a lot with 20\u00a0% bad would pass in 8 of 100 cases"}},
			{Name: "by the tables", Who: Operator, Path: lot + "/inspect?plan=single&level=II&aql=1.0", Status: http.StatusOK, Has: []string{"Look at 50 of 500", "at most 1 bad"}},
			{Name: "no such AQL", Who: Operator, Path: lot + "/inspect?plan=single&level=II&aql=9", Status: http.StatusOK, Has: []string{"9 is not one of the choices"}},
			form("fewer than asked for", Operator, lot+"/inspect", http.StatusSeeOther, found("4")),
			{Name: "is not accepted", Who: Desk, Path: lot, Status: http.StatusOK, Has: []string{"Not finished", "the plan asks for 11"}},
			form("more bad than looked at", Operator, lot+"/inspect", http.StatusUnprocessableEntity, found("11", "bad[0].code", "W13", "bad[0].count", "12"), "only 11 were looked at"),
			form("none looked at", Operator, lot+"/inspect", http.StatusUnprocessableEntity, found(""), "is not a number"),
			form("one too short", Operator, lot+"/inspect", http.StatusSeeOther, found("11", "bad[0].code", "W13", "bad[0].count", "1", "note", "4 mm")),
			{Name: "is in quarantine by that", Who: Desk, Path: lot, Status: http.StatusOK, Has: []string{"In quarantine. Nothing", "The incoming inspection did not pass", "11 looked at, 1 bad: the plan allows none."}},
			{Name: "waits on the first page", Who: Desk, Path: "/", Status: http.StatusOK, Has: []string{"waits for a decision", "SP-0931"}},
			{Name: "is stopped in the list", Who: Desk, Path: "/lots?state=stopped", Status: http.StatusOK, Has: []string{"SP-0931", "In quarantine"}, HasNot: []string{"SP-0932"}},
			{Name: "the operator is not asked", Who: Operator, Path: lot, Status: http.StatusOK, HasNot: []string{lot + "/accept", lot + "/concession"}},
			s.opened(t, form("an operator lets nothing go", Operator, lot+"/accept", http.StatusForbidden, url.Values{"reason": {"looks fine"}})),
			s.opened(t, form("nor does one who confirms", OperatorAtStand, lot+"/accept", http.StatusForbidden, url.Values{"reason": {"looks fine"}, "confirm.pin": {PIN}})),
			form("nor under a concession", OperatorAtStand, lot+"/concession", http.StatusForbidden, url.Values{"reason": {"looks fine"}}),
			s.opened(t, form("an inspector confirms", InspectorAtStand, lot+"/concession", http.StatusUnprocessableEntity, url.Values{"reason": {"for a trial"}}, "Your PIN")),
			s.opened(t, form("and says why", InspectorAtStand, lot+"/concession", http.StatusUnprocessableEntity, url.Values{"confirm.pin": {PIN}}, "Say why")),
			s.opened(t, form("more back than came", InspectorAtStand, lot+"/return", http.StatusUnprocessableEntity, url.Values{"quantity": {"501"}, "reason": {"short"}, "confirm.pin": {PIN}}, "more than the 500")),
			s.opened(t, form("some go back", InspectorAtStand, lot+"/return", http.StatusSeeOther, url.Values{"quantity": {"300"}, "reason": {"short"}, "confirm.pin": {PIN}})),
			{Name: "the rest waits", Who: Desk, Path: lot, Status: http.StatusOK, Has: []string{"Sent back. Nothing", "fitted nowhere until"}},
			s.opened(t, form("a concession for the rest", InspectorAtStand, lot+"/concession", http.StatusSeeOther, url.Values{"reason": {"for a trial"}, "confirm.pin": {PIN}})),
			s.opened(t, form("twice", InspectorAtStand, lot+"/concession", http.StatusUnprocessableEntity, url.Values{"reason": {"for a trial"}, "confirm.pin": {PIN}}, "decided about lot SP-0931 already")),
			form("some thrown away", Operator, lot+"/scrap", http.StatusSeeOther, url.Values{"quantity": {"4"}, "code": {"W09"}}),
			form("for no reason", Operator, lot+"/scrap", http.StatusUnprocessableEntity, url.Values{"quantity": {"4"}}, "This is needed"),
			{Name: "the count is not told what to find", Who: Operator, Path: lot + "/count", Status: http.StatusOK, HasNot: []string{"196"}},
			form("counted", Operator, lot+"/count", http.StatusSeeOther, url.Values{"counted": {"190"}}),
			{Name: "the difference is a question", Who: Operator, Path: lot, Status: http.StatusOK, Has: []string{"Counted 6 fewer than expected: why?", lot + "/explain"}}, // 500 - 300 - 4 = 196
			{Name: "also on the first page", Who: Desk, Path: "/", Status: http.StatusOK, Has: []string{"190 counted, 196 expected"}},
			form("explained", Operator, lot+"/explain", http.StatusSeeOther, url.Values{"reason": {"a bag went with a sample"}}),
			{Name: "no question is left, and no figure changed", Who: Operator, Path: lot, Status: http.StatusOK, Has: []string{"a bag went with a sample", ">196<"}, HasNot: []string{"why?"}},
			form("nothing more to explain", Operator, lot+"/explain", http.StatusUnprocessableEntity, url.Values{"reason": {"x"}}, "adds up"),
			form("two lots into a bin", Operator, lot+"/mix", http.StatusSeeOther, url.Values{"bin": {"BIN-3"}, "lots[0].lot": {"SP-0931"}, "lots[0].quantity": {"50"}, "lots[1].lot": {"]C0SP-0932"}, "lots[1].quantity": {"60"}}),
			{Name: "the bin tells of them", Who: Desk, Path: "/lots/BIN-3", Status: http.StatusOK, Has: []string{"50 put in of lot", "60 put in of lot", "SP-0932", ">110<"}},
			form("more than a lot has", Operator, lot+"/mix", http.StatusUnprocessableEntity, url.Values{"bin": {"BIN-4"}, "lots[0].lot": {"SP-0931"}, "lots[0].quantity": {"147"}}, "1 more than the lot SP-0931 has (146)", "Why more than the lot has"), // 196 - 50
			form("and why, with another fault", Operator, lot+"/mix", http.StatusUnprocessableEntity, url.Values{"bin": {""}, "lots[0].lot": {"SP-0931"}, "lots[0].quantity": {"147"}, "reason": {"one fell out"}}, ">one fell out</textarea>"),
			form("a lot nobody knows, in the second row", Operator, lot+"/mix", http.StatusUnprocessableEntity, url.Values{"bin": {"BIN-4"}, "lots[1].lot": {"SP-77"}, "lots[1].quantity": {"1"}}, `id="lots-1-lot-wrong"`),
			form("the bin into itself", Operator, "/lots/BIN-3/mix", http.StatusUnprocessableEntity, url.Values{"bin": {"BIN-3"}, "lots[0].lot": {"BIN-3"}, "lots[0].quantity": {"1"}}, "holds pieces of this bin already"),
			form("a lot of its own is no bin", Operator, lot+"/mix", http.StatusUnprocessableEntity, url.Values{"bin": {"SP-0932"}, "lots[0].lot": {"SP-0931"}, "lots[0].quantity": {"1"}}, "a lot of its own"),
			s.opened(t, form("quarantined again", Operator, lot+"/quarantine", http.StatusSeeOther, url.Values{"reason": {"two broke"}})),
			{Name: "the bin is stopped with it", Who: Desk, Path: "/lots/BIN-3", Status: http.StatusOK, Has: []string{"A lot in it is set aside", "possibly holds pieces of lot SP-0931"}},
			{Name: "nothing more goes into a bin", Who: Operator, Path: lot, Status: http.StatusOK, HasNot: []string{lot + "/mix"}},
			form("the owner alone edits materials", Inspector, "/materials/spokes", http.StatusForbidden, url.Values{"name": {"spokes"}, "unit": {"pieces"}}),
			s.opened(t, form("spokes are short below 500", Owner, "/materials/spokes", http.StatusSeeOther, url.Values{"name": {"spokes"}, "unit": {"pieces"}, "least": {"500"}, "role.spokes_a": {"yes"}, "role.spokes_b": {"yes"}, "plan": {"zero"}})),
			{Name: "they are", Who: Desk, Path: "/materials", Status: http.StatusOK, Has: []string{"One material is short", "a sample, none of it bad"}},
			{Name: "and the list says so", Who: Desk, Path: "/lots?material=spokes", Status: http.StatusOK, Has: []string{"Short: fewer than 500"}},
			form("a new material", Owner, "/materials/new", http.StatusSeeOther, url.Values{"code": {"harness"}, "name": {"harnesses"}, "unit": {"pieces"}, "role.harness": {"yes"}}),
			form("its code again", Owner, "/materials/new", http.StatusUnprocessableEntity, url.Values{"code": {"harness"}, "name": {"x"}, "unit": {"pieces"}}, "taken already"),
			form("a code of two words", Owner, "/materials/new", http.StatusUnprocessableEntity, url.Values{"code": {"Two words"}, "name": {"x"}, "unit": {"pieces"}}, "small letters"),
			form("nobody's", Owner, "/materials/gold", http.StatusNotFound, url.Values{"from": {"x"}, "name": {"gold"}, "unit": {"pieces"}}),
		})
	})
}

// What is sent as a photo or paper is told by its content, kept once, and opened
// as what it is.
func TestPapersOfALot(t *testing.T) {
	Each(t, func(t *testing.T, s *Shop) {
		_, err := s.App.Services.Receive.AddLot(t.Context(), s.Shop.Owner, models.Lot{Code: "SP-1", Material: "spokes"})
		s.Must(err)
		path := "/lots/SP-1/papers"
		page := []byte("<!DOCTYPE html><html><body><script>alert(1)</script></body></html>")
		large := append(photo(t), make([]byte, 40<<20)...)
		s.Run(t, []Row{
			{Name: "the page asks the phone's camera", Who: OperatorAtStand, Path: path, Status: http.StatusOK, Has: []string{`capture="environment"`, "20 MB at most"}},
			upload(t, "not the desk's", Desk, path, "p.jpg", photo(t), http.StatusForbidden),
			upload(t, "a photo", OperatorAtStand, path, "p.jpg", photo(t), http.StatusSeeOther),
			upload(t, "the same again", OperatorAtStand, path, "again.jpg", photo(t), http.StatusSeeOther),
			upload(t, "a paper that calls itself a photo", Operator, path, "C:\\in\\Lieferschein.jpg", []byte(pdf), http.StatusSeeOther),
			upload(t, "a page that calls itself a paper", Operator, path, "note.pdf", page, http.StatusUnprocessableEntity, "By its content this is text/html"),
			upload(t, "a drawing that may hold a script", Operator, path, "p.svg", []byte(`<svg xmlns="http://www.w3.org/2000/svg"><script/></svg>`), http.StatusUnprocessableEntity, "By its content this is image/svg"),
			upload(t, "a photo of 40 MB", Operator, path, "p.jpg", large, http.StatusUnprocessableEntity, "larger than 20 MB and was not kept"),
			upload(t, "one byte too many", Operator, path, "p.jpg", large[:documents.MostBytes+1], http.StatusUnprocessableEntity, "larger than 20 MB"),
			upload(t, "past what is read at all", Operator, path, "p.jpg", append(large, make([]byte, 30<<20)...), http.StatusRequestEntityTooLarge),
			upload(t, "nothing chosen", Operator, path, "", nil, http.StatusUnprocessableEntity, "Choose a photo or a PDF"),
			{Name: "broken off", Who: Operator, Method: http.MethodPost, Path: path, Status: http.StatusUnprocessableEntity, Has: []string{"did not arrive whole"},
				Header: map[string]string{"Content-Type": "multipart/form-data; boundary=x"}, Body: "--x\r\nContent-Disposition: form-data; name=\"file\"; filename=\"p.jpg\"\r\n\r\nabc"},
			{Name: "no form", Who: Operator, Method: http.MethodPost, Path: path, Status: http.StatusUnprocessableEntity, Has: []string{"Choose a photo"}, Header: map[string]string{"Content-Type": "application/x-www-form-urlencoded"}},
			{Name: "two are kept", Who: Desk, Path: "/lots/SP-1", Status: http.StatusOK, Has: []string{"p.jpg", "Lieferschein.pdf", "as it came"}, HasNot: []string{"again.jpg", "C:"}},
			{Name: "nobody's", Who: Desk, Path: "/papers/" + models.NewID(), Status: http.StatusNotFound},
		})
		lot, err := s.App.Services.Receive.Story(t.Context(), "SP-1")
		s.Must(err)
		papers, err := s.App.Services.Documents.Of(t.Context(), models.SubjectLot, lot.Lot.ID)
		s.Must(err)
		if len(papers) != 2 {
			t.Fatalf("%d papers are kept, want 2", len(papers))
		}
		safe := map[string]string{"X-Content-Type-Options": "nosniff", "Content-Type": "image/jpeg", "Content-Disposition": "inline; filename=p.jpg", "Cache-Control": "no-store", "ETag": ""}
		s.run(t, Row{Who: Desk, Path: "/papers/" + papers[0].ID, Status: http.StatusOK, Headers: safe})
		safe["Content-Type"], safe["Content-Disposition"] = "application/pdf", "inline; filename=Lieferschein.pdf"
		s.run(t, Row{Who: Desk, Path: "/papers/" + papers[1].ID, Status: http.StatusOK, Headers: safe, Has: []string{"%PDF-1.4"}})
		s.run(t, Row{Who: Nobody, Path: "/papers/" + papers[1].ID, Status: http.StatusSeeOther})
		// The same photo on another lot is one file.
		_, err = s.App.Services.Receive.AddLot(t.Context(), s.Shop.Owner, models.Lot{Code: "SP-2", Material: "spokes"})
		s.Must(err)
		s.Run(t, []Row{upload(t, "the same on another lot", Operator, "/lots/SP-2/papers", "x.jpg", photo(t), http.StatusSeeOther)})
		if strings.Contains(pdf, "script") || httpx.MaxFile <= documents.MostBytes {
			t.Error("more is read than is kept, so that a sender hears why")
		}
	})
}

// lots is the part of the walk through the interface that a lot has behind it
// when it is used up.
func (w *walk) lots() {
	w.T.Helper()
	materials := w.ask(Desk, "GET /materials", "/materials", nil, http.StatusOK)["materials"].([]any)
	spokes := materials[slices.IndexFunc(materials, func(m any) bool { return m.(object)["code"] == "spokes" })].(object)
	w.ask(Owner, "PUT /materials/{code}", "/materials/spokes", object{"from": spokes["digest"], "name": "spokes", "unit": "pieces", "roles": []any{"spokes_a", "spokes_b"}, "plan": object{"kind": "zero"}, "least": 50}, http.StatusOK)
	for _, code := range []string{"SP-0931", "SP-0932"} {
		w.ask(Operator, "POST /lots", "/lots", object{"code": code, "material": "spokes", "quantity": 500, "supplier": "Drahtwerk Anselm"}, http.StatusCreated)
	}
	w.ask(Desk, "GET /suppliers", "/suppliers", nil, http.StatusOK)
	plan := object{"kind": "single", "level": "II", "aql": "1.0"}
	story := w.ask(OperatorAtStand, "POST /lots/{code}/checks", "/lots/SP-0931/checks", object{"plan": plan, "looked": 50, "bad": []any{object{"code": "W13", "count": 2}}, "note": "4 mm short"}, http.StatusCreated)
	if story["decision"] != "quarantine" || story["balance"].(object)["expected"] != 500. {
		w.T.Errorf("two bad of 50 where one is allowed: %v", story)
	}
	decide := object{"decision": "accept", "reason": "it was the gauge"}
	w.ask(OperatorAtStand, "POST /lots/{code}/decisions", "/lots/SP-0931/decisions", decide, http.StatusForbidden)
	w.ask(InspectorAtStand, "POST /lots/{code}/decisions", "/lots/SP-0931/decisions", decide, http.StatusUnprocessableEntity) // nothing confirms it
	decide["confirm"] = object{"pin": PIN}
	w.ask(InspectorAtStand, "POST /lots/{code}/decisions", "/lots/SP-0931/decisions", decide, http.StatusCreated)
	w.ask(OperatorAtStand, "POST /lots/{code}/scraps", "/lots/SP-0931/scraps", object{"quantity": 4, "code": "W09"}, http.StatusCreated)
	w.ask(OperatorAtStand, "POST /lots/{code}/counts", "/lots/SP-0931/counts", object{"counted": 490}, http.StatusCreated)
	w.ask(OperatorAtStand, "POST /lots/{code}/explanations", "/lots/SP-0931/explanations", object{"reason": "samples"}, http.StatusCreated)
	w.ask(OperatorAtStand, "POST /lots/{code}/explanations", "/lots/SP-0931/explanations", object{"reason": "samples"}, http.StatusConflict)
	w.ask(OperatorAtStand, "POST /lots/{code}/contents", "/lots/BIN-3/contents", object{"lots": []any{object{"lot": "SP-0931", "quantity": 100}, object{"lot": "SP-0932", "quantity": 80}}}, http.StatusCreated)
	sub := w.Extremes()
	sub.Serial = *w.AnotherWheel().Serial
	sub.Parts = []models.SentPart{{Role: "spokes_a", Lot: "BIN-3", Quantity: 18}}
	w.ask(OperatorAtStand, "POST /inspections", "/inspections", sub, http.StatusCreated)
	uses := w.ask(Desk, "GET /lots/{code}/uses", "/lots/SP-0932/uses", nil, http.StatusOK)
	if list := uses["uses"].([]any); len(list) != 1 || list[0].(object)["possibly"] != true || uses["pieces"] != 0. {
		w.T.Errorf("what possibly holds a lot that was mixed: %v", uses)
	}
	paper := "POST /lots/{code}/papers"
	added := w.answers(w.T, w.Shop, paper, Row{Who: OperatorAtStand, Path: "/lots/SP-0931/papers?name=note.pdf&note=as+it+came", Body: []byte(pdf), Header: map[string]string{"Content-Type": "image/jpeg"}, Status: http.StatusCreated})
	w.answers(w.T, w.Shop, paper, Row{Who: OperatorAtStand, Path: "/lots/SP-0931/papers?name=note.pdf", Body: []byte("<html></html>"), Header: map[string]string{"Content-Type": "application/pdf"}, Status: http.StatusUnprocessableEntity})
	w.answers(w.T, w.Shop, paper, Row{Who: OperatorAtStand, Path: "/lots/SP-0931/papers?check=" + models.NewID(), Body: []byte(pdf), Status: http.StatusNotFound})
	id := Decode[struct{ Papers []struct{ ID string } }](w.T, added).Papers[0].ID
	w.answers(w.T, w.Shop, "GET /papers/{id}", Row{Who: Desk, Path: "/papers/" + id, Status: http.StatusOK})
	w.ask(Desk, "GET /lots/{code}", "/lots/SP-0931", nil, http.StatusOK)
	w.ask(Desk, "GET /lots/{code}", "/lots/SP-9999", nil, http.StatusNotFound)
}

// One piece, and one item, are told in the singular.
func TestOneIsToldInTheSingular(t *testing.T) {
	Each(t, func(t *testing.T, s *Shop) {
		s.Must(s.Store.AddLot(t.Context(), models.NewStamp(s.Shop.Owner, s.Now), models.Lot{ID: models.NewID(), Code: "SP-17", Material: "spokes", Quantity: 17}))
		sub := s.Extremes()
		sub.Serial = *s.AnotherWheel().Serial
		sub.Parts = []models.SentPart{{Role: "spokes_a", Lot: "SP-17", Quantity: 18}}
		s.MustRecord(sub)
		wheel, serial := s.Item[models.KindWheel], s.unknownSerial()
		_, err := s.Store.AddItem(t.Context(), models.NewStamp(s.Shop.Owner, s.Now), models.Item{ID: models.NewID(), Kind: wheel.Kind, Serial: &serial, FamilyID: wheel.FamilyID, ProductID: wheel.ProductID, Origin: "made", State: models.StateInProcess}, nil)
		s.Must(err)
		page := func(path, has string) Row {
			return Row{Name: path, Who: Operator, Path: path, Status: http.StatusOK, Has: []string{has}}
		}
		s.Run(t, []Row{
			page("/lots/SP-17", "1 more was used than came: why?"),
			page("/lots/SP-17/explain", "Why was 1 more used than came?"),
			page("/", `1 more of lot <a class="mono" href="/lots/SP-17">SP-17</a> was used than came`),
			page("/attention", `1 more of lot <span class="mono">SP-17</span> was used than came`),
			page("/labels", "One item was made today and stands below."),
		})
	})
}
