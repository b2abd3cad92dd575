package servertest

import (
	"net/http"
	"testing"

	"tracewright/models"
	"tracewright/models/work/receive"
)

// Where a lot and a motor went, and what went into the wheel, as every role may
// ask.
func TestWhereAPartWent(t *testing.T) {
	Each(t, func(t *testing.T, s *Shop) {
		goods := receive.New(s.Store, s.Clock, s.App.Services.Zone)
		_, err := goods.AddLot(t.Context(), s.Shop.Owner, models.Lot{Code: "SP-0214", Material: "spokes", Quantity: 500})
		s.Must(err)
		_, err = goods.AddLot(t.Context(), s.Shop.Owner, models.Lot{Code: "SP-0215", Material: "spokes", Quantity: 500})
		s.Must(err)
		motor, err := goods.AddPart(t.Context(), s.Shop.Owner, receive.NewPart{Kind: models.KindMotor, Supplier: "Norvik", Model: "R9", MakerNumber: "N9-1"})
		s.Must(err)
		wheel := s.Item[models.KindWheel]
		sub := s.Extremes()
		sub.Parts = []models.SentPart{{Role: "spokes_a", Lot: "SP-0214", Quantity: 18}, {Role: "spokes_b", Lot: "SP-0214", Quantity: 18}, {Role: "motor", Number: "N9-1"}}
		s.MustRecord(sub)
		s.Must(goods.Mix(t.Context(), s.Shop.Owner, receive.Mixed{Bin: "M-1", Lots: []receive.Poured{{Lot: "SP-0214", Quantity: 40}, {Lot: "SP-0215", Quantity: 40}}}))
		mixed := s.Extremes()
		mixed.Serial, mixed.Parts = *s.AnotherWheel().Serial, []models.SentPart{{Role: "spokes_a", Lot: "M-1", Quantity: 18}}
		s.MustRecord(mixed)
		get := func(name, path string, status int, has ...string) Row {
			return Row{Name: name, Who: Desk, Path: "/api/v1" + path, Status: status, Has: has}
		}
		s.Run(t, []Row{
			get("the lot", "/lots/SP-0214/uses", http.StatusOK, `"lot":{"id":`, `"pieces":36`, `"serial":"`+*wheel.Serial+`"`, `"within":[]`, `"loops":[]`),
			get("the motor", "/items/"+motor.ID+"/uses", http.StatusOK, `"part":{"id":"`+motor.ID+`"`, `"pieces":1`, `"serial":"`+*wheel.Serial+`"`),
			get("the wheel went nowhere", "/items/"+*wheel.Serial+"/uses", http.StatusOK, `"uses":[]`),
			get("what is in the wheel", "/items/"+*wheel.Serial+"/sources", http.StatusOK, `"lots":1,"items":1`, `"number":"N9-1"`, `"lot":"SP-0214"`, `"parts":[]`),
			get("what is in the motor", "/items/"+motor.ID+"/sources", http.StatusOK, `"lots":0,"items":0,"parts":[]`),
			get("a lot that is not there", "/lots/SP-9999/uses", http.StatusNotFound),
			get("an item that is not there", "/items/"+models.NewID()+"/sources", http.StatusNotFound),
			get("a misread serial", "/items/"+(*wheel.Serial)[:8]+"2/uses", http.StatusUnprocessableEntity, `"serial_check"`),
			{Name: "a stranger", Who: Nobody, Path: "/api/v1/lots/SP-0214/uses", Status: http.StatusUnauthorized},
			{Name: "as a page", Who: Desk, Path: "/lots/SP-0214", Status: http.StatusOK, Has: []string{"Two items hold it, 0 released and here, 0 shipped", "Left"}},
			get("a wheel out of a bin", "/items/"+mixed.Serial+"/sources", http.StatusOK, `"lot":"M-1"`, `"possibly":["SP-0214","SP-0215"]`),
			{Name: "as a tree, by a bin", Who: Desk, Path: "/items/" + mixed.Serial + "/sources", Status: http.StatusOK, Has: []string{", a bin: possibly of ", "/lots/SP-0214", " or ", "/lots/SP-0215"}},
			{Name: "as a tree", Who: Desk, Path: "/items/" + *wheel.Serial + "/sources", Status: http.StatusOK, Has: []string{"One numbered part and 1 lot went into it", "N9-1"}},
		})
	})
}
