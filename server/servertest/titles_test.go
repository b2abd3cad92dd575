package servertest

import (
	"fmt"
	"net/http"
	"testing"

	"tracewright/models"
)

// Several pages that are open beside one another are told apart by their titles:
// each names what it is about.
func TestTheTitleOfAPageNamesItsSubject(t *testing.T) {
	s := On(t, openSQLite(t))
	family := *s.Item[models.KindWheel].FamilyID
	spec, err := s.Store.SpecificationInForce(t.Context(), family, nil)
	s.Must(err)
	named, err := s.Store.Family(t.Context(), family)
	s.Must(err)
	s.MustRecord(s.Extremes())
	for path, title := range map[string]string{
		"/check-lists/hops":          "Check list: it hops",
		"/defects/W01":               "Defect W01",
		"/defects/new":               "A new defect",
		"/materials/spokes":          "Material: spokes",
		"/specifications/" + spec.ID: fmt.Sprintf("Specification %d of %s", spec.Revision, named.Name),
		"/charts":                    "In control? ",
		"/charts?result=dish_abs&family=" + family: "In control? Dish",
	} {
		t.Run(path, func(t *testing.T) {
			s.run(t, Row{Name: path, Who: Owner, Path: path, Status: http.StatusOK, Has: []string{"<title>" + title, ">In control?</a>"}})
		})
	}
	s.run(t, Row{Name: "a lot that is to be called back", Who: Owner, Path: "/recalls/new?lot=SP-0001", Status: http.StatusUnprocessableEntity, Has: []string{"<title>Call back SP-0001"}})
}
