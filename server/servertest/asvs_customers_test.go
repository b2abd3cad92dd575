package servertest

import (
	"bytes"
	"fmt"
	"net/http"
	"regexp"
	"slices"
	"strings"
	"testing"

	"tracewright/models"
	"tracewright/models/work/claims"
	"tracewright/reports/pdf/pdftest"
	"tracewright/server/app"
)

// At an enrolled tablet nobody sees customers, whatever their role: a person is
// chosen by one tap there. Every page, entry of the interface, list and paper is
// looked through, over a shop whose customer has orders, a shipment, a claim and a
// recall; the same walk in the office finds them.
func TestNoCustomersAtATablet(t *testing.T) {
	s := On(t, openSQLite(t))
	fill := s.everyPage(t)
	customers, err := s.App.Services.Shipping.Customers(t.Context(), s.Shop.Owner, "Brenn", "")
	s.Must(err)
	c := customers[0]
	from, err := c.Digest()
	s.Must(err)
	// Nothing of these is a word of the program's or of another record.
	planted := []string{"Zuleyka Quorntal", "Wexmoor Ghat", "zq@quorntal.example", "0555-907-113", "rings twice"}
	c.Name, c.Address, c.Email, c.Phone, c.Note = planted[0], planted[1]+"\n9921 Sundhavn", planted[2], planted[3], planted[4]
	_, err = s.App.Services.Shipping.ChangeCustomer(t.Context(), s.Shop.Owner, from, c)
	s.Must(err)
	_, err = s.App.Services.Claims.Open(t.Context(), s.Shop.Owner, claims.Opening{Item: *s.Item[models.KindPack].Serial, Customer: c.ID, Words: "it hums"})
	s.Must(err)

	look := s.everyLook(fill, c.ID)
	type paper struct{ who, path, kept string }
	var papers []paper
	tells := func(path, text string) (told []string) {
		for _, p := range append(planted, c.ID) {
			if strings.Contains(text, p) && !strings.Contains(path, p) {
				told = append(told, p)
			}
		}
		return told
	}
	// found is where somebody is told something of the customer, papers aside.
	found := func(who string) map[string][]string {
		at, answered := map[string][]string{}, 0
		for _, path := range look {
			status, header, body := s.Do(t, Row{Who: who, Path: path})
			if status == http.StatusOK {
				answered++
			}
			if told := tells(path, string(body)+fmt.Sprint(header)); len(told) > 0 {
				at[path] = told
			}
			if header.Get("Content-Type") == "application/pdf" && bytes.Contains(body, []byte("startxref")) {
				papers = append(papers, paper{who, path, string(body)})
			}
		}
		t.Logf("%s: %d addresses, %d answered, something of the customer on %d", who, len(look), answered, len(at))
		if answered < 250 {
			t.Errorf("%s: only %d were answered", who, answered)
		}
		return at
	}
	for path, told := range found(OwnerAtStand) {
		t.Errorf("at the tablet %s tells %q", path, told)
	}
	office := map[string]bool{}
	for _, told := range found(Owner) {
		for _, p := range told {
			office[p] = true
		}
	}
	if len(office) != len(planted)+1 {
		t.Errorf("in the office only %v are found: the walk is not what it was", office)
	}
	for _, route := range app.Routes(s.App.Services) {
		if strings.HasPrefix(strings.TrimPrefix(route.Path, "/api/v1"), "/customers") {
			if status, _, _ := s.Do(t, Row{Who: OwnerAtStand, Method: route.Method, Path: filled(strings.ReplaceAll(route.Path, ":id", c.ID)), Body: "{}"}); status != http.StatusForbidden {
				t.Errorf("%s %s: %d", route.Method, route.Path, status)
			}
		}
	}
	printed := map[string][]string{} // last, since they want a reader of papers
	for _, p := range papers {
		if told := tells(p.path, strings.Join(strings.Fields(pdftest.Text(t, []byte(p.kept))), " ")); len(told) > 0 {
			printed[p.who] = append(printed[p.who], p.path)
		}
	}
	if len(printed[OwnerAtStand]) > 0 || !slices.ContainsFunc(printed[Owner], func(path string) bool { return strings.HasSuffix(path, "/packing-list") }) {
		t.Errorf("of %d papers tell of the customer: %v", len(papers), printed)
	}
}

// everyLook are the addresses that look at something. Those of the interface are tried
// with the name of each record.
func (s *Shop) everyLook(fill map[string][]string, customer string) []string {
	var look []string
	names := []string{customer}
	for _, of := range []string{"/items/:serial", "/kits/:serial", "/lots/:code", "/shipments/:number", "/claims/:number", "/recalls/:number", "/nonconformities/:number"} {
		for _, v := range fill[of] {
			if !strings.ContainsAny(v, "?/") {
				names = append(names, v)
			}
		}
	}
	one := regexp.MustCompile(`^[^:*]*/:\w+[^:*]*$`)
	for _, route := range app.Routes(s.App.Services) {
		if route.Method != http.MethodGet || strings.HasPrefix(route.Path, "/static/") {
			continue
		}
		all := paths(route.Path, slices.Clone(fill[route.Path]))
		if strings.HasPrefix(route.Path, "/api/") && one.MatchString(route.Path) {
			for _, name := range names {
				all = append(all, regexp.MustCompile(`:\w+`).ReplaceAllString(route.Path, name))
			}
		}
		for _, path := range all {
			if strings.HasSuffix(path, "/events") {
				path += "?follow=no"
			}
			if !strings.Contains(path, ":") {
				look = append(look, path)
			}
		}
	}
	for _, kind := range []string{"customers", "orders", "shipments", "claims", "build-records"} {
		look = append(look, "/lists/out?names=yes&kind="+kind, "/lists/example/"+kind)
	}
	return append(look, "/find?q=Quorntal", "/customers?find=Quorntal", "/api/v1/customers?find=Quorntal", "/api/v1/orders?all=yes")
}
