package servertest

import (
	"net/http"
	"net/url"
	"testing"

	"tracewright/models"
)

// A product gets what its turn list needs in the office's form: the page that
// said what was missing leads there, a row of the table fills in its figures,
// what is wrong is said beside its field, and the form without it is as it was.
func TestTheTurnListIsSetUpInTheForm(t *testing.T) {
	Each(t, func(t *testing.T, s *Shop) {
		bare := turningForm(36)
		bare.Wheel.Truing = nil
		w := s.atTheStand(bare, wobbly(1.6))
		sub := w.read()
		s.run(t, Row{Who: OperatorAtStand, Path: "/api/v1/inspections", Body: sub, Status: http.StatusCreated})
		revise := "/products/" + w.product.ID + "/revise"
		list := Row{Who: OperatorAtStand, Method: http.MethodPost, Path: listOf(sub.ID)}
		s.run(t, list.must("the list is missing", http.StatusOK, `"code":"rim_section"`, `"href":"`+revise+`"`))

		_, _, page := s.Do(t, Row{Who: Owner, Path: revise})
		form := formOf(page)
		for _, name := range []string{"section", "ea", "ei_in_plane", "ei_lateral", "gj", "gauge_outset", "thread_pitch", "smallest_turn", "tension_uncertainty", "ends_length", "middle_diameter"} {
			if !form.Has("form.wheel.truing." + name) {
				t.Errorf("the form does not ask for %s", name)
			}
		}
		send := func(name string, change map[string]string, status int, has ...string) Row {
			values := url.Values{}
			for k, v := range form {
				values[k] = v
			}
			values.Set("reason", "the turn list")
			values.Set("confirmed", "yes")
			for k, v := range change {
				values.Set("form.wheel.truing."+k, v)
			}
			return Row{Name: name, Who: Owner, Method: http.MethodPost, Path: revise, Header: map[string]string{"Content-Type": "application/x-www-form-urlencoded"}, Body: values.Encode(), Status: status, Has: has}
		}
		s.Run(t, []Row{
			send("a section alone", map[string]string{"section": "26_double"}, http.StatusUnprocessableEntity, "2 answers need a look"),
			send("a thread of an inch", map[string]string{"section": "26_double", "thread_pitch": "56", "gauge_outset": "6"}, http.StatusUnprocessableEntity, "Must be at most 2."),
			send("all of it", map[string]string{"section": "26_double", "thread_pitch": "0,454", "gauge_outset": "6"}, http.StatusSeeOther),
			{Name: "the product shows its figures", Who: Desk, Path: "/products/" + w.product.ID, Status: http.StatusOK, Has: []string{"For the turn list", "26 inch, double wall, about 32 mm", "160\u00a0N m²", "an eighth"}},
			list.must("and the list is made of the readings that were there", http.StatusCreated, `"state":"ready"`),
		})
		revision, err := s.Store.ProductForm(t.Context(), w.product.ID)
		s.Must(err)
		want := models.WheelTruing{Section: "26_double", EA: "11", InPlaneEI: "160", LateralEI: "550", GJ: "120", GaugeOutset: "6", ThreadPitch: "0.454", SmallestTurn: "0.125"}
		if got := revision.Form.Wheel.Truing; got == nil || *got != want {
			t.Errorf("stored %+v, want %+v", got, want)
		}
		s.run(t, Row{Name: "a product without shows none", Who: Desk, Path: "/products/" + *s.Item[models.KindWheel].ProductID, Status: http.StatusOK, HasNot: []string{"For the turn list"}})
	})
}
