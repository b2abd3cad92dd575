package servertest

import (
	"net/http"
	"strings"
	"testing"

	"tracewright/models"
	"tracewright/server/app"
	"tracewright/server/httpx"
)

// mayDo is what each role may do, as the shop agreed it: operators record, print, raise
// holds, receive, pack and release their own work; inspectors also lift, void, settle,
// dispose of what does not conform, calibrate and ship; in the office inspectors enter what was built before; the desk looks, prints, raises holds, packs, ships and knows the
// customers, in the office; desk and inspectors answer claims; the owner does everything,
// people and specifications too. It is written out here so that a change of the
// server's table is noticed. Everybody sets their own secrets, in the office.
var mayDo = map[string][]models.Act{
	Nobody:    {},
	Desk:      {models.ActLook, models.ActPrint, models.ActRaiseHold, models.ActPack, models.ActShip, models.ActCustomers, models.ActClaims, models.ActOwnSecrets},
	Operator:  {models.ActLook, models.ActPrint, models.ActRaiseHold, models.ActMeasure, models.ActRecord, models.ActRelease, models.ActReceive, models.ActPack, models.ActOwnSecrets},
	Inspector: {models.ActLook, models.ActPrint, models.ActRaiseHold, models.ActMeasure, models.ActRecord, models.ActRelease, models.ActReceive, models.ActLiftHold, models.ActVoid, models.ActPlace, models.ActCalibrate, models.ActPack, models.ActShip, models.ActRecall, models.ActClaims, models.ActDispose, models.ActImprove, models.ActEnterPast, models.ActOwnSecrets},
	Owner: {models.ActLook, models.ActPrint, models.ActRaiseHold, models.ActMeasure, models.ActRecord, models.ActRelease, models.ActReceive, models.ActLiftHold, models.ActVoid, models.ActPlace, models.ActCalibrate,
		models.ActSpecify, models.ActManagePeople, models.ActPack, models.ActShip, models.ActCustomers, models.ActRecall, models.ActClaims, models.ActConcede, models.ActDispose, models.ActImprove, models.ActEnterPast, models.ActOwnSecrets},
	// At a tablet a person is chosen by one tap, which proves nothing: what is
	// kept for the office stays closed.
	InspectorAtStand: {models.ActLook, models.ActPrint, models.ActRaiseHold, models.ActMeasure, models.ActRecord, models.ActRelease, models.ActReceive, models.ActLiftHold, models.ActVoid, models.ActPlace, models.ActCalibrate, models.ActPack, models.ActShip, models.ActRecall, models.ActClaims, models.ActDispose, models.ActImprove},
	WrongKey:         {},
}

// letIn says whether an answer came from behind the door: not from the one who
// sends strangers to the sign-in page, and not a refusal.
func letIn(status int, header http.Header) bool {
	if status == http.StatusSeeOther && strings.HasPrefix(header.Get("Location"), "/signin") {
		return false
	}
	return status != http.StatusUnauthorized && status != http.StatusForbidden
}

func contains(acts []models.Act, act models.Act) bool {
	for _, a := range acts {
		if a == act {
			return true
		}
	}
	return false
}

// filled puts a key that nothing has into each parameter of a path.
func filled(path string) string {
	parts := strings.Split(path, "/")
	for i, p := range parts {
		if strings.HasPrefix(p, ":") || strings.HasPrefix(p, "*") {
			parts[i] = "00000000-0000-7000-8000-000000000000"
		}
	}
	if parts[len(parts)-1] == "events" { // A stream goes on for minutes unless it is asked not to.
		return strings.Join(parts, "/") + "?follow=no"
	}
	return strings.Join(parts, "/")
}

func bodyOf(method string) any {
	if method == http.MethodGet {
		return nil
	}
	return "{}"
}

// The few public routes are known by name: a new one is argued for here.
func TestPublicRoutes(t *testing.T) {
	want := map[string]bool{
		"GET /static/:hash/*name": true, "GET /floor-worker.js": true, "GET /signin": true, "POST /signin": true, "GET /signin/code": true, "POST /signin/code": true, "POST /signout": true, "GET /setup/:token": true, "POST /setup/:token": true,
		// What a tablet reads before it trusts this server: a certificate, which is no secret.
		"GET /trust": true, "GET /trust/authority.crt": true,
		"GET /api/v1/openapi.yaml": true, "GET /healthz": true, "GET /readyz": true,
	}
	for _, route := range app.Routes(httpx.Services{}) {
		if name := route.Method + " " + route.Path; route.Act == httpx.Public && !want[name] {
			t.Errorf("%s is open to everybody", name)
		}
	}
}

func TestRevokedTabletOpensNothing(t *testing.T) {
	Each(t, func(t *testing.T, s *Shop) {
		devices, err := s.App.Services.Access.Devices(t.Context())
		if err != nil {
			t.Fatal(err)
		}
		look := Row{Who: OperatorAtStand, Path: "/api/v1/holds", Status: http.StatusOK}
		s.run(t, look)
		for _, d := range devices {
			if err := s.App.Services.Access.Revoke(t.Context(), s.Shop.Owner, d.ID); err != nil {
				t.Fatal(err)
			}
		}
		look.Status = http.StatusUnauthorized
		s.run(t, look)
	})
}

func TestWhatAProgramMayNotDoFromElsewhere(t *testing.T) {
	s := On(t, openSQLite(t))
	post := Row{Who: Operator, Path: "/api/v1/lots", Body: `{"code":"X-1","material":"spokes"}`}
	for _, c := range []struct {
		name, header, value string
		status              int
	}{
		{"from a page of another site", "Origin", "https://elsewhere.example", http.StatusForbidden},
		{"from a frame of another site", "Sec-Fetch-Site", "cross-site", http.StatusForbidden},
		{"from our own page", "Sec-Fetch-Site", "same-origin", http.StatusCreated},
	} {
		t.Run(c.name, func(t *testing.T) {
			row := post
			row.Header, row.Status = map[string]string{c.header: c.value}, c.status
			s.run(t, row)
		})
	}
}
