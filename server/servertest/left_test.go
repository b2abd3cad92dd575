package servertest

import (
	"net/http"
	"net/url"
	"testing"

	"tracewright/models"
	"tracewright/models/trade/ident"
	"tracewright/models/work/access"
)

// What a tablet kept of somebody who has left, or does other work now, is taken from
// whoever is at it, kept whole, and stands once an inspector says so: in the name of
// whoever read it, and marked. Outside a tablet nobody is named, whatever keeps the
// readings from their place.
func TestReadingsOfSomebodyWhoLeft(t *testing.T) {
	no, desk := false, models.Desk
	for name, change := range map[string]access.Change{"who left": {Active: &no}, "who works in the office now": {Role: &desk}} {
		t.Run(name, func(t *testing.T) {
			Each(t, func(t *testing.T, s *Shop) {
				gone := s.People[SecondAtOtherSide]
				_, err := s.App.Services.Access.UpdatePerson(t.Context(), s.Shop.Owner, gone.ID, change)
				s.Must(err)
				sub, stranger, unknown := s.Extremes(), s.Extremes(), s.Extremes()
				sub.Person, stranger.Person, unknown.Person = gone.ID, models.NewID(), s.People[Inspector].ID
				unknown.Serial, _, err = ident.Next('W', 29, 4000)
				s.Must(err)
				sent := func(name, who string, sub models.Submission, status int, has ...string) Row {
					return Row{Name: name, Who: who, Path: "/api/v1/inspections", Body: sub, Status: status, Has: has}
				}
				settle := func(name, who string, status int, has ...string) Row {
					return Posted(name, who, "/unplaced/"+sub.ID, url.Values{"do": {"place"}, "reason": {"the wheel was on the stand that day"}}, status, has...)
				}
				s.Run(t, []Row{
					sent("in nobody's name but their own in the office", Operator, sub, http.StatusForbidden),
					sent("nor where the serial is unknown", Operator, unknown, http.StatusForbidden),
					sent("of one who was never here", OperatorAtStand, stranger, http.StatusUnprocessableEntity, `"unknown_person"`),
					sent("from the tablet", OperatorAtStand, sub, http.StatusAccepted, `"person_left"`, `"placed":false`),
					sent("and again", OperatorAtStand, sub, http.StatusAccepted, `"person_left"`),
					{Name: "whose they are, and who sent them", Who: Inspector, Path: "/unplaced", Status: http.StatusOK, Has: []string{gone.Name + ", sent by " + s.People[Operator].Name, "Whoever read this has left"}},
					settle("an operator does not say whether they stand", Operator, http.StatusForbidden),
					settle("an inspector does", Inspector, http.StatusSeeOther),
					sent("sent once more, it is the first answer", OperatorAtStand, sub, http.StatusOK, `"placed":true`, `"person":"`+gone.ID+`"`, `"came_after_leaving"`),
					{Name: "the item says so", Who: Operator, Path: "/items/" + s.Serial[models.KindWheel], Status: http.StatusOK, Has: []string{"sent after whoever read it had left", gone.Name}},
				})
			})
		})
	}
}
