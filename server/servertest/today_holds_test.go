package servertest

import (
	"bytes"
	"net/http"
	"net/url"
	"regexp"
	"testing"
	"time"

	"tracewright/models"
	"tracewright/models/work/monitor"
	"tracewright/server/api"
)

// Today counts what is on hold, not the holds: a second hold on a wheel is no
// second wheel.
func TestTodayCountsWhatIsOnHold(t *testing.T) {
	s := On(t, openSQLite(t))
	stamp := models.NewStamp(s.Owner, s.Now)
	hold := func(h models.Hold) {
		h.ID, h.Code, h.Reason = models.NewID(), "W14", "step at the joint"
		_, err := s.Store.AddHold(t.Context(), stamp, h)
		s.Must(err)
	}
	for range 8 {
		wheel := s.AnotherWheel()
		hold(models.Hold{ItemID: &wheel.ID})
		hold(models.Hold{ItemID: &wheel.ID})
	}
	page := func(name string, has ...string) Row {
		return Row{Name: name, Who: Desk, Path: "/", Status: http.StatusOK, Has: has}
	}
	s.Run(t, []Row{page("wheels", "3 more items are on hold")})
	lot := models.Lot{ID: models.NewID(), Code: "SP-9", Material: "spokes"}
	s.Must(s.Store.AddLot(t.Context(), stamp, lot))
	hold(models.Hold{LotID: &lot.ID})
	s.Run(t, []Row{page("and a lot", "4 more items and lots are on hold")})
}

// A hold is found however many older ones are open: it can be lifted, and its lot is on
// hold. Two lots under one code and reason are told apart.
func TestTheNewestOfManyHoldsIsSeen(t *testing.T) {
	Each(t, func(t *testing.T, s *Shop) {
		minutes, raised := 0, map[string]string{}
		hold := func(h models.Hold) string {
			h.ID, h.Code, h.Reason = models.NewID(), "W01", "it broke at the bend"
			minutes++
			_, err := s.Store.AddHold(t.Context(), models.NewStamp(s.Shop.Owner, s.Now.Add(time.Duration(minutes)*time.Minute)), h)
			s.Must(err)
			return h.ID
		}
		wheel := s.AnotherWheel()
		for range monitor.PageOfHolds + 1 {
			hold(models.Hold{ItemID: &wheel.ID})
		}
		for _, code := range []string{"SP-1", "SP-2"} {
			lot := models.Lot{ID: models.NewID(), Code: code, Material: "spokes", Quantity: 9}
			s.Must(s.Store.AddLot(t.Context(), models.NewStamp(s.Shop.Owner, s.Now), lot))
			raised[code] = hold(models.Hold{LotID: &lot.ID})
		}
		all := monitor.PageOfHolds + 3
		lift := "/holds/" + raised["SP-2"] + "/lift"
		page := func(name, path string, has ...string) Row {
			return Row{Name: name, Who: Inspector, Path: path, Status: http.StatusOK, Has: has}
		}
		later := ""
		s.Run(t, []Row{
			{Name: "the oldest", Who: Inspector, Path: "/holds", Status: http.StatusOK, Has: []string{"203 holds are open; here 200 of them, raised "}, HasNot: []string{"SP-1"}, After: func(t *testing.T, _ http.Header, body []byte) {
				if found := regexp.MustCompile(`href="(/holds\?after=[0-9a-f-]{36})">Later holds`).FindSubmatch(body); found != nil {
					later = string(found[1])
				}
			}},
			{Name: "the later ones", Who: Inspector, Before: func(r *Row) { r.Path = later }, Status: http.StatusOK, HasNot: []string{"Later holds"},
				Has: []string{"203 holds are open; here 3 of them", `Lot <a class="mono" href="/lots/SP-1">SP-1</a>: `, `href="/lots/SP-2"`, `href="` + lift + `"`, `href="/holds">The oldest`}},
			{Name: "behind no hold", Who: Inspector, Path: "/holds?after=all", Status: http.StatusUnprocessableEntity},
			page("Today names the lots", "/", `href="/lots/SP-1"`, `href="/lots/SP-2"`),
			page("the list of lots", "/lots", "On hold"),
			page("none of them is taken for good", "/lots?state=stopped", "Two lots, "),
			page("the lot", "/lots/SP-2", "On hold. Nothing of this lot is built in"),
			page("the newest", lift, "SP-2", `href="/lots/SP-2"`, "What holds a part of this lot can be certified again"),
			{Name: "in the interface", Who: Inspector, Path: api.Base + "/holds", Status: http.StatusOK, Has: []string{`"lot":"SP-1"`, `"lot":"SP-2"`, `"item":"` + wheel.Name() + `"`}, After: func(t *testing.T, _ http.Header, body []byte) {
				if n := bytes.Count(body, []byte(`"raised_at"`)); n != all {
					t.Errorf("%d holds in the interface, want %d", n, all)
				}
			}},
			Posted("lifted", Inspector, lift, url.Values{"code": {"no_fault_found"}, "reason": {"another lot"}, "confirm.password": {Password}}, http.StatusSeeOther),
			{Name: "once", Who: Inspector, Path: lift, Status: http.StatusNotFound},
			{Name: "no hold", Who: Inspector, Path: "/holds/" + models.NewID() + "/lift", Status: http.StatusNotFound},
			page("one less", "/holds", "202 holds are open"),
			{Name: "the lot is free", Who: Inspector, Path: "/lots/SP-2", Status: http.StatusOK, HasNot: []string{"On hold"}},
			page("the other is not", "/lots/SP-1", "On hold."),
		})
	})
}
