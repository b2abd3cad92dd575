package servertest

import (
	"bytes"
	"mime/multipart"
	"net/http"
	"net/url"
	"strings"
	"testing"

	"tracewright/models"
	"tracewright/models/words"
)

// listForm is the form that takes a list in, as a browser sends it.
func listForm(t *testing.T, name, who, kind string, fields map[string]string, file string, status int, has ...string) Row {
	t.Helper()
	var body bytes.Buffer
	form := multipart.NewWriter(&body)
	if file != "" {
		part, err := form.CreateFormFile("file", "list.csv")
		if err != nil {
			t.Fatal(err)
		}
		if _, err := part.Write([]byte(file)); err != nil {
			t.Fatal(err)
		}
	}
	for field, value := range fields {
		if err := form.WriteField(field, value); err != nil {
			t.Fatal(err)
		}
	}
	if err := form.Close(); err != nil {
		t.Fatal(err)
	}
	return Row{Name: name, Who: who, Method: http.MethodPost, Path: "/lists/in/" + kind, Body: body.Bytes(), Status: status, Has: has, Header: map[string]string{"Content-Type": form.FormDataContentType()}}
}

// between finds what stands between two texts of an answer.
func between(body []byte, from, to string) string {
	_, rest, _ := strings.Cut(string(body), from)
	found, _, _ := strings.Cut(rest, to)
	return found
}

// A list goes to the server twice: to be looked at, and to be taken in as it was
// looked at. What a browser makes of the text on its way changes nothing.
func TestAListIsTakenInByItsPage(t *testing.T) {
	Each(t, func(t *testing.T, s *Shop) {
		bad, good := "code;material;quantity\r\nSP-7;spokes;1.000\r\n", "code;material;quantity\r\nSP-7;spokes;1000\r\nSP-8;Spokes;\r\n"
		digest := ""
		reads := func(t *testing.T, _ http.Header, body []byte) {
			if digest = between(body, `name="digest" value="`, `"`); len(digest) != 64 {
				t.Errorf("the page holds the digest %q", digest)
			}
		}
		looked := listForm(t, "a good list", Operator, "lots", nil, good, http.StatusOK, "Two rows can be taken in", "Take in 2 rows", "Nothing is stored yet", `<td data-k="code">SP-8</td><td data-k="material">Spokes</td>`)
		looked.After = reads
		s.Run(t, []Row{
			{Name: "the way there", Who: Operator, Path: "/lists", Status: http.StatusOK, Has: []string{"/lists/in/lots", "/lists/in/items"}, HasNot: []string{"/lists/in/customers", "/lists/in/build-records"}},
			{Name: "and for the desk", Who: Desk, Path: "/lists", Status: http.StatusOK, Has: []string{"/lists/in/customers"}, HasNot: []string{"/lists/in/lots"}},
			{Name: "an example", Who: Operator, Path: "/lists/example/lots?form=semicolons", Status: http.StatusOK, Headers: map[string]string{"Content-Type": "text/csv; charset=utf-8", "Cache-Control": "no-store"}, Has: []string{"code;material;description;", "\nSP-0214;spokes;"}},
			listForm(t, "a fault, by its row", Operator, "lots", nil, bad, http.StatusOK, "One row needs a look", `<td data-k="row">2</td><td><b>quantity</b></td>`, "“1.000” is a thousand times more", "SP-7;spokes;1.000"),
			listForm(t, "pasted", Operator, "lots", map[string]string{"pasted": bad}, "", http.StatusOK, "One row needs a look"),
			listForm(t, "a file comes before what was pasted", Operator, "lots", map[string]string{"pasted": bad}, good, http.StatusOK, "Two rows can be taken in"),
			listForm(t, "nothing", Operator, "lots", nil, "", http.StatusUnprocessableEntity, "This is needed."),
			listForm(t, "a file that is none", Operator, "lots", nil, "PK\x03\x04\x00", http.StatusOK, "This list cannot be read", "Save the list as CSV first"),
			looked,
		})
		if lots, err := s.Store.LotsByCode(t.Context(), []string{"SP-7", "SP-8"}); err != nil || len(lots) > 0 {
			t.Fatalf("looking stored %v, %v", lots, err)
		}
		s.Run(t, []Row{
			listForm(t, "another list", Operator, "lots", map[string]string{"take": "yes", "digest": digest, "pasted": "code,material\nSP-9,spokes"}, "", http.StatusUnprocessableEntity, "another list than the one that was looked at"),
			listForm(t, "one with a fault", Operator, "lots", map[string]string{"take": "yes", "digest": digest, "pasted": bad}, "", http.StatusUnprocessableEntity, "One row needs a look"),
			listForm(t, "taken in", Operator, "lots", map[string]string{"take": "yes", "digest": digest, "pasted": good}, "", http.StatusSeeOther),
			listForm(t, "taken in again", Operator, "lots", map[string]string{"take": "yes", "digest": digest, "pasted": good}, "", http.StatusSeeOther),
			listForm(t, "all there", Operator, "lots", nil, good, http.StatusOK, "All of it is on record already"),
		})
		if lots, err := s.Store.LotsByCode(t.Context(), []string{"SP-7", "SP-8", "SP-9"}); err != nil || len(lots) != 2 || lots[0].ReceivedBy != s.People[Operator].ID {
			t.Errorf("stored are %+v, %v", lots, err)
		}
	})
}

// Who may take what in, and who gets what out. A desk with a formula for a name.
func TestWhoMayHaveLists(t *testing.T) {
	Each(t, func(t *testing.T, s *Shop) {
		box := s.kitted(t)
		who, err := s.App.Services.Shipping.Customer(t.Context(), s.Shop.Owner, box.customer, "")
		s.Must(err)
		from, err := who.Digest()
		s.Must(err)
		who.Name, who.Phone = "=HYPERLINK(1)", "+47 2200"
		_, err = s.App.Services.Shipping.ChangeCustomer(t.Context(), s.Shop.Owner, from, who)
		s.Must(err)
		wheel := words.Serial(*s.Item[models.KindWheel].Serial)
		customers, list := "/lists/out?kind=customers", "name\nAda\n"
		s.Run(t, []Row{
			listForm(t, "customers by an operator", Operator, "customers", nil, list, http.StatusForbidden),
			listForm(t, "by an inspector", Inspector, "customers", nil, list, http.StatusForbidden),
			listForm(t, "by the desk", Desk, "customers", nil, list, http.StatusOK, "One row can be taken in"),
			listForm(t, "at a tablet", OperatorAtStand, "build-records", nil, list, http.StatusForbidden),
			listForm(t, "build records by an inspector at a tablet", InspectorAtStand, "build-records", nil, list, http.StatusForbidden),
			listForm(t, "in the office", Inspector, "build-records", nil, "item,role\n", http.StatusOK, "cannot be read"),
			{Name: "customers out to an operator", Who: Operator, Path: customers, Status: http.StatusForbidden, HasNot: []string{"HYPERLINK"}},
			{Name: "to an inspector", Who: Inspector, Path: "/api/v1/exports/customers", Status: http.StatusForbidden, HasNot: []string{"HYPERLINK"}},
			{Name: "to the desk", Who: Desk, Path: customers, Status: http.StatusOK, Has: []string{"'=HYPERLINK(1),'+47 2200,,\"Quay 4\n9921 Sundhavn\",,"}, Headers: map[string]string{"Content-Disposition": `attachment; filename="customers 2031-05-12.csv"`}},
			{Name: "shipments to an operator: no customer", Who: Operator, Path: "/lists/out?kind=shipments&names=yes", Status: http.StatusForbidden},
			{Name: "shipments to an operator", Who: Operator, Path: "/lists/out?kind=shipments", Status: http.StatusOK, Has: []string{box.number + ",2031-05-12,4471,"}, HasNot: []string{box.customer, "HYPERLINK"}},
			{Name: "shipments to the desk: a key", Who: Desk, Path: "/lists/out?kind=shipments", Status: http.StatusOK, Has: []string{box.customer + ",,"}, HasNot: []string{"HYPERLINK"}},
			{Name: "with names", Who: Desk, Path: "/lists/out?kind=shipments&names=yes", Status: http.StatusOK, Has: []string{box.customer + ",'=HYPERLINK(1),"}},
			{Name: "what a kit took along was shipped", Who: Operator, Path: "/lists/out?kind=items", Status: http.StatusOK, Has: []string{wheel + ",wheel,wheel one,,,,2031-04-12,shipped,,2031-05-12\n"}},
			{Name: "with names or not", Who: Desk, Path: "/api/v1/exports/shipments?names=yes", Status: http.StatusUnprocessableEntity, Has: []string{"not one of the choices"}, HasNot: []string{"HYPERLINK"}},
			{Name: "no such form", Who: Desk, Path: "/lists/out?kind=lots&form=tabs", Status: http.StatusUnprocessableEntity, Has: []string{"not one of the choices"}},
			{Name: "no such example", Who: Operator, Path: "/lists/example/lots?form=tabs", Status: http.StatusUnprocessableEntity, Has: []string{"not one of the choices"}},
			{Name: "lots have no names of customers", Who: Operator, Path: "/api/v1/exports/lots?names=true", Status: http.StatusUnprocessableEntity, Has: []string{`"field":"names"`, `"unknown_field"`}},
			{Name: "no such list", Who: Desk, Path: "/lists/out?kind=secrets", Status: http.StatusUnprocessableEntity, Has: []string{"not one of the choices"}},
		})
		looks, err := s.Store.LooksAt(t.Context(), box.customer, 9)
		s.Must(err)
		if len(looks) != 3 || looks[0].PersonID != s.People[Desk].ID || looks[1].PersonID != s.People[Desk].ID {
			t.Errorf("looks are %+v, want the test's own and two of the desk", looks)
		}
		s.Must(s.Store.SetSetting(t.Context(), models.NewStamp(s.Shop.Owner, s.Now), models.SettingLookReason, "yes"))
		s.Run(t, []Row{
			{Name: "the shop asks why", Who: Desk, Path: customers, Status: http.StatusUnprocessableEntity, Has: []string{"Say why"}, HasNot: []string{"HYPERLINK"}},
			{Name: "and is told", Who: Desk, Path: customers + "&reason=" + url.QueryEscape("a letter to all"), Status: http.StatusOK, Has: []string{"HYPERLINK"}},
		})
	})
}

// A list of customers with faults: the answers name row and column, and nothing of
// what stands there.
func TestALogOfNobody(t *testing.T) {
	Each(t, func(t *testing.T, s *Shop) {
		raw := []byte("name,phone\nZacharias,1,2\nZacharias,1\nZacharias,1\n,5\n")
		s.Run(t, []Row{
			{Name: "looked at", Who: Desk, Method: http.MethodPost, Path: "/api/v1/imports/customers", Body: raw, Status: http.StatusOK, Has: []string{`"row":2`, `"row":4,"column":"name","code":"list_twice"`, `"row":5`}, HasNot: []string{"Zacharias"}},
			{Name: "not taken in", Who: Desk, Method: http.MethodPost, Path: "/api/v1/imports/customers?dry_run=false", Body: raw, Status: http.StatusUnprocessableEntity, Has: []string{`"field":"row 5, name"`, `"code":"missing"`}, HasNot: []string{"Zacharias"}},
			{Name: "what it asks for", Who: Desk, Method: http.MethodPost, Path: "/api/v1/imports/customers?dry_run=perhaps", Body: raw, Status: http.StatusUnprocessableEntity, Has: []string{"dry_run"}},
		})
	})
}

// lists takes one of each kind in and writes it out.
func (w *walk) lists() {
	w.T.Helper()
	wheel := w.Serial[models.KindWheel]
	for kind, raw := range map[string]string{
		"lots": "code;material;quantity\nLI-1;spokes;500\n", "items": "kind,product,number,built on\nwheel,wheel one,R-118,2024-03-05\n",
		"build-records": "item,role,lot,quantity,by\n" + wheel + ",nipples,NI-1,36,The operator\n", "customers": "name,phone\nMara Example,555 0100\n",
	} {
		if kind == "build-records" {
			w.ask(Operator, "POST /lots", "/lots", object{"code": "NI-1", "material": "nipples"}, http.StatusCreated)
		}
		post := "POST /imports/" + kind
		send := func(query string, status int) object {
			w.T.Helper()
			return Decode[object](w.T, w.answers(w.T, w.Shop, post, Row{Who: Owner, Path: "/imports/" + kind + query, Body: []byte(raw), Status: status}))
		}
		looked := send("", http.StatusOK)
		if looked["new"] != 1. || looked["taken_in"] != false || len(looked["problems"].([]any)) > 0 {
			w.T.Errorf("%s looked at: %v", kind, looked)
		}
		send("?dry_run=false&digest=another", http.StatusConflict)
		if taken := send("?dry_run=false&digest="+looked["digest"].(string), http.StatusOK); taken["new"] != 1. || taken["taken_in"] != true {
			w.T.Errorf("%s taken in: %v", kind, taken)
		}
		if again := send("?dry_run=true", http.StatusOK); again["same"] != 1. || again["new"] != 0. {
			w.T.Errorf("%s again: %v", kind, again)
		}
	}
	for _, kind := range []string{"lots", "items", "build-records", "customers", "results", "shipments"} {
		w.answers(w.T, w.Shop, "GET /exports/"+kind, Row{Who: Owner, Path: "/exports/" + kind + "?form=semicolons", Status: http.StatusOK, Has: []string{";"}})
	}
}
