package servertest

import (
	"net/http"
	"net/url"
	"testing"
	"time"

	"tracewright/models"
)

// A record that was put right after its certificate says so on the item's page and at
// the door, until a revision names what is in it; of what is with its owner nothing is
// taken out, and its record can still be put right.
func TestACertificateThatNamesOtherParts(t *testing.T) {
	Each(t, func(t *testing.T, s *Shop) {
		ctx, stamp := t.Context(), models.NewStamp(s.Shop.Owner, s.Now)
		for _, code := range []string{"SP-77", "SP-99"} {
			s.Must(s.Store.AddLot(ctx, stamp, models.Lot{ID: models.NewID(), Code: code, Material: "spokes", Quantity: 100}))
		}
		sub := s.Extremes()
		sub.Parts = []models.SentPart{{Role: "spokes_a", Lot: "SP-77", Quantity: 18}}
		s.MustRecord(sub)
		wheel, password := s.Serial[models.KindWheel], url.Values{"confirm.password": {Password}}
		path := "/items/" + wheel
		out := func(code, fate, in string, status int, has ...string) {
			t.Helper()
			parts, err := s.Store.Parts(ctx, s.Item[models.KindWheel].ID)
			s.Must(err)
			s.Now = s.Now.Add(time.Minute)
			s.Run(t, []Row{Posted(code, Operator, path+"/parts/"+models.Present(parts)[0].ID, url.Values{"code": {code}, "fate": {fate}, "named": {in}}, status, has...)})
		}
		s.Run(t, []Row{
			s.opened(t, Posted("released", Owner, path+"/release", password, http.StatusSeeOther)),
			{Name: "as it is certified", Who: Owner, Path: path, Status: http.StatusOK, HasNot: []string{"names other parts"}},
		})
		out(models.RecordedWrongly, models.FateNeverIn, "SP-99", http.StatusSeeOther)
		s.Run(t, []Row{
			{Name: "put right", Who: Owner, Path: path, Status: http.StatusOK, Has: []string{"Its certificate names other parts than are in it", "It does not leave before a revision names them", path + "/release"}},
			{Name: "for the desk, who issues none", Who: Desk, Path: path, Status: http.StatusOK, Has: []string{"Its certificate names other parts than are in it"}, HasNot: []string{path + "/release"}},
			Posted("at the door", Desk, "/ship", url.Values{"item": {wheel}}, http.StatusUnprocessableEntity, "names other parts than are in it: issue a revision"),
			s.opened(t, Posted("a revision", Owner, path+"/release", url.Values{"confirm.password": {Password}, "reason": {"the lot of the spokes"}}, http.StatusSeeOther)),
			{Name: "named", Who: Owner, Path: path, Status: http.StatusOK, HasNot: []string{"names other parts"}},
			Posted("shipped", Desk, "/ship", url.Values{"item": {wheel}}, http.StatusSeeOther),
		})
		out("broken", models.FateScrap, "SP-77", http.StatusUnprocessableEntity, "is not here, so nothing can be taken out of it")
		out(models.RecordedWrongly, models.FateNeverIn, "SP-77", http.StatusSeeOther)
		s.Run(t, []Row{{Name: "with its owner", Who: Owner, Path: path, Status: http.StatusOK, Has: []string{"Its certificate names other parts than are in it"}, HasNot: []string{"It does not leave"}}})
	})
}
