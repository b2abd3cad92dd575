package servertest

import (
	"net/http"
	"net/url"
	"strings"
	"testing"
	"time"

	"tracewright/models"
	"tracewright/models/work/gauges"
	"tracewright/server/api"
)

// Why readings of a gauge that is out are judged has a form of its own: a text that is
// refused comes back with its problem, and the entry below stays as it stands. What is said
// of a gauge is not said of it after another calibration.
func TestANoteOnAGaugeThatIsOut(t *testing.T) {
	Each(t, func(t *testing.T, s *Shop) {
		ctx, at, put := t.Context(), "/instruments/D-1", api.Base+"/instruments/D-1/out-note"
		found := func(asFound string) {
			t.Helper()
			_, err := s.App.Services.Gauges.Calibrate(ctx, s.Shop.Owner, "D-1", gauges.NewCalibration{By: "lab", Standard: "gauge blocks", Points: []models.CalibrationPoint{{Reference: "0.32", AsFound: asFound, Tolerance: "0.02"}}})
			s.Must(err)
			s.Now = s.Now.Add(time.Minute)
		}
		found("0.42")
		i, err := s.App.Services.Gauges.Instrument(ctx, "D-1")
		s.Must(err)
		older := s.open(t, Owner, at)
		note := func(text, from string) url.Values { return url.Values{"out_note": {text}, "from": {from}} }
		long := strings.Repeat("x", 501)
		s.Run(t, []Row{
			s.openedAt(t, at, Posted("too long a reason", Owner, at+"/out-note", note(long, ""), http.StatusUnprocessableEntity, `id="out-note-wrong"`, long, `value="`+i.Instrument.Name+`"`, `<option value="out" selected>`)),
			s.openedAt(t, at, Posted("a reason", Owner, at+"/out-note", note("only to sort", ""), http.StatusSeeOther)),
			Posted("taken back on the older page", Owner, at+"/out-note", note("", older), http.StatusUnprocessableEntity, behind, "judged: only to sort", `name="from" value="`+older+`"`),
			Posted("on a page that holds nothing", Owner, at+"/out-note", note("", ""), http.StatusUnprocessableEntity, behind),
			{Name: "the older one in the interface", Who: Owner, Method: http.MethodPut, Path: put, Body: object{"from": older, "out_note": ""}, Status: http.StatusConflict},
			{Name: "said of it as it stands", Who: Owner, Method: http.MethodPut, Path: put, Body: object{"out_note": "for trials"}, Status: http.StatusOK},
		})
		older = s.open(t, Owner, at)
		found("0.52")
		s.Run(t, []Row{Posted("said before it was found worse", Owner, at+"/out-note", note("for trials", older), http.StatusUnprocessableEntity, behind, "for trials")})
		found("0.32")
		s.Run(t, []Row{
			Posted("said before it came back", Owner, at+"/out-note", note("for trials", older), http.StatusUnprocessableEntity, behind, "It is not out of use any more", "for trials"),
			{Name: "no note is left", Who: Owner, Path: at, Status: http.StatusOK, HasNot: []string{"for trials", "not out of use any more"}},
		})
	})
}
