package servertest

import (
	"net/http"
	"net/url"
	"strings"
	"testing"

	"tracewright/models"
	"tracewright/models/work/receive"
	"tracewright/models/work/shop"
	"tracewright/reports/pdf/pdftest"
)

// Labels by the plain forms of the pages: one tap, another size, a sheet that
// goes on, many at once, a roll, a lot; each print counted once, looking never.
func TestLabelsOnThePages(t *testing.T) {
	Each(t, func(t *testing.T, s *Shop) {
		wheel, pack := s.Serial[models.KindWheel], s.Serial[models.KindPack]
		item := "/items/" + wheel
		form := func(name, who, path string, values url.Values, status int, says ...string) Row {
			return Row{Name: name, Who: who, Method: http.MethodPost, Path: path, Status: status, Has: says, Header: map[string]string{"Content-Type": "application/x-www-form-urlencoded"}, Body: values.Encode()}
		}
		to := func(row Row, location string) Row {
			row.Headers = map[string]string{"Location": location}
			return row
		}
		paper := func(name, path string, says ...string) Row {
			return Row{Name: name, Who: Desk, Path: path, Status: http.StatusOK, Headers: map[string]string{"Content-Type": "application/pdf"}, After: func(t *testing.T, _ http.Header, body []byte) {
				text := pdftest.Text(t, body)
				for _, want := range says {
					if !strings.Contains(text, want) {
						t.Errorf("the label says %q, want %q in it", text, want)
					}
				}
			}}
		}
		s.Must(s.Store.AddLot(t.Context(), models.NewStamp(s.Shop.Owner, s.Now), models.Lot{ID: models.NewID(), Code: "SP-7", Material: "spokes", ReceivedAt: s.Now}))
		s.Must(s.Store.AddLot(t.Context(), models.NewStamp(s.Shop.Owner, s.Now), models.Lot{ID: models.NewID(), Code: "SP-8", Material: "spokes", Supplier: "星", ReceivedAt: s.Now}))
		s.Run(t, []Row{
			{Name: "before the first", Who: Desk, Path: item, Status: http.StatusOK, Has: []string{"None was printed yet", `action="` + item + `/label"`}},
			paper("looked at", item+"/label.pdf", "W31-00001", "wheel one"),
			{Name: "looking is no print", Who: Desk, Path: item, Status: http.StatusOK, Has: []string{"None was printed yet"}},
			to(form("one tap", Operator, item+"/label", url.Values{}, http.StatusSeeOther), item+"/label.pdf?size=62x29"),
			{Name: "in the history", Who: Desk, Path: item, Status: http.StatusOK, Has: []string{"Print again", "One print, the last on 12 May 2031", "1 label, 62 × 29 mm."}},
			to(form("another size, on the hub", Operator, item+"/label", url.Values{"size": {"25x15"}, "kind": {"hub_mark"}, "copies": {"2"}}, http.StatusSeeOther), item+"/label.pdf?copies=2&kind=hub_mark&size=25x15"),
			form("too small for a bar code", Operator, item+"/label", url.Values{"size": {"25x15"}, "symbol": {"code_128"}}, http.StatusUnprocessableEntity, "25 × 15 mm is too small for Code 128"),
			form("no number", Operator, item+"/label", url.Values{"copies": {"two"}}, http.StatusUnprocessableEntity, "“two” is not a number"),
			{Name: "what was refused is not counted", Who: Desk, Path: item, Status: http.StatusOK, Has: []string{"Two prints", "2 hub marks, 25 × 15 mm."}},
			to(form("on a sheet", Desk, item+"/label", url.Values{"size": {"sheet_5x13"}, "place": {"65"}}, http.StatusSeeOther), item+"/label.pdf?place=65&size=sheet_5x13"),
			to(form("the sheet goes on", Desk, "/labels", url.Values{"size": {"sheet_5x13"}, "serials": {wheel + "\r\n]d1" + pack}}, http.StatusSeeOther), "/labels.pdf?place=1&serials="+url.QueryEscape(wheel+"\n]d1"+pack)+"&size=sheet_5x13"),
			{Name: "and says where", Who: Desk, Path: "/labels", Status: http.StatusOK, Has: []string{"The last sheet of 65 goes on at 3.", "Nothing was made today"}},
			paper("both on it", "/labels.pdf?place=1&size=sheet_5x13&serials="+wheel+","+pack, "W31-00001", "P31-00001", "Maker’s data first."),
			form("named twice, misread", Desk, "/labels", url.Values{"serials": {wheel + ";" + wheel}}, http.StatusUnprocessableEntity, "stands there twice"),
			{Name: "none named", Who: Desk, Path: "/labels.pdf", Status: http.StatusUnprocessableEntity, Has: []string{"This is needed."}},
			to(form("of a lot", Operator, "/lots/SP-7/label", url.Values{"size": {"50x25"}}, http.StatusSeeOther), "/lots/SP-7/label.pdf?size=50x25"),
			{Name: "known at the lot", Who: Desk, Path: "/lots/SP-7/label", Status: http.StatusOK, Has: []string{"Printed before", "1 label, 50 × 25 mm"}},
			{Name: "letters that labels lack are told", Who: Desk, Path: "/lots/SP-8/label", Status: http.StatusOK, Has: []string{"A sign that the label’s letters lack is printed as “?”."}},
			{Name: "of a lot with all its letters nothing is told", Who: Desk, Path: "/lots/SP-7/label", Status: http.StatusOK, HasNot: []string{"letters lack"}},
			{Name: "no such lot", Who: Desk, Path: "/lots/none/label", Status: http.StatusNotFound},
			{Name: "the usual size", Who: Owner, Path: "/shop", Status: http.StatusOK, Has: []string{`<option value="62x29" selected>`}},
		})
		s.Must(s.App.Services.Shop.Set(t.Context(), s.Shop.Owner, shop.Settings{Name: "Shop", TimeZone: "UTC", LabelSize: "sheet_3x8"}))
		s.Run(t, []Row{
			{Name: "a usual sheet asks where to begin", Who: Desk, Path: item, Status: http.StatusOK, Has: []string{`href="` + item + `/label"`}, HasNot: []string{`action="` + item + `/label"`}},
			form("not of the desk's to set", Desk, "/shop", url.Values{"label_size": {"25x15"}}, http.StatusForbidden),
			s.opened(t, form("no size of ours", Owner, "/shop", url.Values{"name": {"Shop"}, "time_zone": {"UTC"}, "label_size": {"9x9"}}, http.StatusUnprocessableEntity, "not one of the choices")),
		})
	})
}

// A certificate is printed again with its number, and counted; opening it is no
// print.
func TestCertificatePrintsAreCounted(t *testing.T) {
	Each(t, func(t *testing.T, s *Shop) {
		number := s.busy(t)
		item, path := "/items/"+s.Serial[models.KindWheel], "/certificates/"+number+"/1"
		print := Row{Who: Desk, Method: http.MethodPost, Path: path + "/print", Status: http.StatusSeeOther, Headers: map[string]string{"Location": path}}
		var rows []Row
		for _, printed := range []string{"", "Printed 1 time<", "Printed 2 times<"} {
			page := Row{Name: "page " + printed, Who: Desk, Path: item, Status: http.StatusOK, Has: []string{printed}}
			if printed == "" {
				page.HasNot = []string{"Printed 1 time"}
			}
			rows = append(rows, Row{Name: "opened", Who: Desk, Path: path, Status: http.StatusOK}, page, print)
		}
		s.Run(t, rows)
		s.run(t, Row{Who: Desk, Method: http.MethodPost, Path: "/certificates/C99-00001/1/print", Status: http.StatusNotFound})
	})
}

// Kits have labels as everything with a serial has, also printed ahead; the boxes
// of a shipment have theirs. What a scanner reads off each leads back to it, and
// no box names whom it goes to.
func TestLabelsOfKitsAndBoxes(t *testing.T) {
	Each(t, func(t *testing.T, s *Shop) {
		box := s.kitted(t)
		roll, err := s.App.Services.Receive.AddRoll(t.Context(), s.Shop.Owner, receive.NewRoll{Kind: models.KindKit, Count: 9})
		s.Must(err)
		serials := receive.Serials(roll)
		wheels, err := s.App.Services.Receive.AddRoll(t.Context(), s.Shop.Owner, receive.NewRoll{Kind: models.KindWheel, ProductID: *s.Item[models.KindWheel].ProductID, Count: 9})
		s.Must(err)
		// Every page of 62 by 29 mm has a QR code and, beside it or below, a Code 128.
		scans := func(name, path string, pages int, want string, says ...string) Row {
			return Row{Name: name, Who: Desk, Path: path, Status: http.StatusOK, Headers: map[string]string{"Content-Type": "application/pdf"}, After: func(t *testing.T, _ http.Header, body []byte) {
				text := pdftest.Text(t, body)
				for _, want := range says {
					if !strings.Contains(text, want) {
						t.Errorf("the labels say %q, want %q in it", text, want)
					}
				}
				if strings.Contains(text, "Brenn") || strings.Contains(text, "Quay") {
					t.Errorf("the labels name somebody: %q", text)
				}
				for page := 1; page <= pages; page++ {
					read := pdftest.Symbols(t, body, page, pdftest.Area{Width: 62, Height: 29})
					if len(read) == 0 {
						t.Errorf("page %d: nothing is read", page)
					}
					for _, x := range read {
						if _, code, _ := strings.Cut(x, ":"); code != want {
							t.Errorf("page %d reads %q, want %q", page, x, want)
						}
					}
				}
			}}
		}
		first, path := strings.ReplaceAll(serials[0], "-", ""), "/shipments/"+box.number
		s.Run(t, []Row{
			{Name: "offered at the shipment", Who: Desk, Path: path, Status: http.StatusOK, Has: []string{path + "/labels"}},
			{Name: "offered at the kit", Who: Operator, Path: "/kits/" + box.kit, Status: http.StatusOK, Has: []string{"/items/" + box.kit + "/label"}},
			scans("of the kit", "/items/"+box.kit+"/label.pdf?size=62x29", 1, box.kit, "Kit 26"),
			scans("printed ahead", "/rolls/"+roll.ID+"/labels.pdf?size=62x29&last="+serials[0], 1, first, serials[0]),
			scans("of its boxes", path+"/labels.pdf?size=62x29&copies=2", 2, box.number, "Box 1 of 2", "Box 2 of 2", "Order 4471"),
			scans("one kit, one box", path+"/labels.pdf?size=62x29", 1, box.number, "Box 1 of 1"),
			Posted("printed", Desk, path+"/labels", url.Values{"size": {"62x29"}, "copies": {"2"}}, http.StatusSeeOther),
			{Name: "and counted", Who: Desk, Path: path + "/labels", Status: http.StatusOK, Has: []string{"2 box labels, 62 × 29 mm"}},
			Posted("no number", Desk, path+"/labels", url.Values{"copies": {"two"}}, http.StatusUnprocessableEntity, "“two” is not a number"),
			Posted("a kit with its label", Operator, "/kits", url.Values{"product": {box.product}, "serial": {"]Q1" + first}}, http.StatusSeeOther),
			{Name: "is there", Who: Operator, Path: "/kits/" + first, Status: http.StatusOK, Has: []string{serials[0], "0 of 2 lines are in"}},
			Posted("the label of a wheel begins no kit", Operator, "/kits", url.Values{"product": {box.product}, "serial": {receive.Serials(wheels)[0]}}, http.StatusUnprocessableEntity, "is no kit"),
			Posted("nor a slip", Operator, "/kits", url.Values{"product": {box.product}, "serial": {first[:8] + "$"}}, http.StatusUnprocessableEntity),
			{Name: "no such shipment", Who: Desk, Path: "/shipments/S31-99999/labels", Status: http.StatusNotFound},
		})
		s.Must(s.App.Services.Shipping.Void(t.Context(), s.Shop.Owner, box.number, "not fetched"))
		s.Run(t, []Row{
			{Name: "void", Who: Desk, Path: path, Status: http.StatusOK, HasNot: []string{path + "/labels"}},
			{Name: "void, by its address", Who: Desk, Path: path + "/labels.pdf", Status: http.StatusUnprocessableEntity, Has: []string{"void"}},
		})
	})
}
