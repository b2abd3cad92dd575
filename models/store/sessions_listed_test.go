package store_test

import (
	"slices"
	"testing"
	"time"

	"tracewright/models"
	"tracewright/models/store"
	"tracewright/models/store/storetest"
)

// Of those who listen to a stream each goes on as long as all of it stands: the
// session, seen lately, the person and the device.
func TestWhoListensIsAskedForInOneGo(t *testing.T) {
	storetest.Each(t, func(t *testing.T, s *store.Store) {
		ctx, stamp := t.Context(), models.NewStamp(models.Actor{}, moment)
		person := func(name string, active bool) string {
			p := models.Person{ID: models.NewID(), Name: name, Role: models.Operator, Active: active}
			if err := s.AddPerson(ctx, stamp, p); err != nil {
				t.Fatal(err)
			}
			return p.ID
		}
		device := func(revoked bool) string {
			d := models.Device{ID: models.NewID(), Name: "Tablet", KeyHash: models.NewID(), EnrolledAt: moment}
			if err := s.AddDevice(ctx, stamp, d); err != nil {
				t.Fatal(err)
			}
			if revoked {
				if err := s.RevokeDevice(ctx, stamp, d.ID); err != nil {
					t.Fatal(err)
				}
			}
			return d.ID
		}
		here, left, on, off := person("Sefa Tamm", true), person("Ota Brix", false), device(false), device(true)
		session := func(token string, seen time.Time) string {
			facts := models.SessionFacts{Fresh: true, Session: models.Session{PersonID: &here, Agent: "a", Address: "192.0.2.7", BeganAt: moment, SeenAt: seen}}
			if err := s.Sessions(time.Now).CommitCtx(models.WithSessionFacts(ctx, facts), token, []byte{1}, moment.Add(time.Hour)); err != nil {
				t.Fatal(err)
			}
			var key string
			list, err := s.SessionsSince(ctx, here, moment.Add(-24*time.Hour), 9)
			if err != nil {
				t.Fatal(err)
			}
			for _, x := range list {
				if x.SeenAt.Equal(seen) {
					key = x.TokenHash
				}
			}
			return key
		}
		fresh, idle := session("one", moment), session("two", moment.Add(-time.Hour))
		if fresh == "" || idle == "" || fresh == "one" {
			t.Fatalf("listed as %q and %q", fresh, idle)
		}
		list := []models.Presence{{TokenHash: fresh, PersonID: here, DeviceID: on}, {TokenHash: idle, PersonID: here}, {TokenHash: "0000", PersonID: here}, {PersonID: left, DeviceID: on}, {PersonID: here, DeviceID: off}, {DeviceID: on}, {PersonID: here}}
		still, err := s.StillIn(ctx, list, moment.Add(-30*time.Minute))
		if want := []bool{true, false, false, false, false, true, true}; err != nil || !slices.Equal(still, want) {
			t.Errorf("StillIn = %v, %v; want %v", still, err, want)
		}
		many := make([]models.Presence, 1200) // more keys than one question names
		for i := range many {
			many[i] = models.Presence{TokenHash: fresh, PersonID: here}
		}
		if still, err := s.StillIn(ctx, many, moment.Add(-30*time.Minute)); err != nil || slices.Contains(still, false) {
			t.Errorf("of many: %v", err)
		}
		if err := s.EndSessionsOf(ctx, here, fresh, true); err != nil {
			t.Fatal(err)
		}
		if list, err := s.SessionsSince(ctx, "", moment.Add(-24*time.Hour), 9); err != nil || len(list) != 1 || list[0].TokenHash != fresh {
			t.Errorf("after all others were ended there is %+v, %v", list, err)
		}
	})
}
