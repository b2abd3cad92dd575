package servertest

import (
	"net/http"
	"testing"

	"tracewright/models"
)

// Two strings of three blocks of 12 V: 50 mV for each 12 V of lead-acid are
// 150 mV, and 0.3 V are too much.
func TestStringsThatDifferAreNotJoinedByTheInterface(t *testing.T) {
	Each(t, func(t *testing.T, s *Shop) {
		pack := s.Item[models.KindPack]
		form, err := s.Store.ProductForm(t.Context(), *pack.ProductID)
		s.Must(err)
		p := *form.Form.Pack
		p.Strings = 2
		s.Must(s.Store.AddProductRevision(t.Context(), models.NewStamp(s.Shop.Owner, s.Now), models.ProductRevision{ProductID: *pack.ProductID, Revision: form.Revision + 1, Form: models.ProductForm{Pack: &p}, Reason: "two strings"}))
		build := "/api/v1/items/" + *pack.Serial + "/build"
		join := func(name string, status int, has string, volts ...any) Row {
			return Row{Name: name, Who: Operator, Method: http.MethodPut, Path: build + "/strings_joined", Body: object{"done": true, "string_volts": volts}, Status: status, Has: []string{has}}
		}
		s.Run(t, []Row{
			join("0.3 V apart", http.StatusConflict, "The strings differ by 0.30 V, more than the 0.15 V allowed", "38.60", "38.90"),
			join("one voltage for two strings", http.StatusUnprocessableEntity, "string_volts", "38.60"),
			join("a word", http.StatusUnprocessableEntity, "not a number", "38.60", "same"),
			{Name: "nothing was ticked", Who: Desk, Path: build, Status: http.StatusOK, HasNot: []string{`"done":true`}},
			join("0.15 V apart", http.StatusOK, `"string_volts":["38.60","38.75"]`, "38.60", "38.75"),
			{Name: "the desk takes nothing back", Who: Desk, Method: http.MethodPut, Path: build + "/strings_joined", Body: object{"done": false}, Status: http.StatusForbidden},
			{Name: "taken back", Who: Operator, Method: http.MethodPut, Path: build + "/strings_joined", Body: object{"done": false}, Status: http.StatusOK, Has: []string{`"done":false`}},
		})
	})
}
