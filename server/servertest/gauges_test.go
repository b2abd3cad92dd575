package servertest

import (
	"net/http"
	"net/url"
	"strings"
	"testing"
	"time"

	"tracewright/models"
	"tracewright/models/work/gauges"
)

// gauged is a gauge with a short check, and a calibration that found it out.
type gauged struct{ check, report, trace string }

// failedGauge lets D-1 fail: it read 0.22 of 0.32, so that lateral run-outs from 0.21
// mm on pass no more where they passed with 0.30.
func (s *Shop) failedGauge(t *testing.T) gauged {
	t.Helper()
	g := s.App.Services.Gauges
	check, err := g.AddCheck(t.Context(), s.Shop.Owner, "D-1", gauges.NewCheck{What: models.CheckZero, Reference: "0", Low: "-0.02", High: "0.02"})
	s.Must(err)
	for _, value := range []string{"0.00", "0.01"} {
		_, err := g.Check(t.Context(), s.Shop.Owner, "D-1", check.ID, "", value)
		s.Must(err)
	}
	out, err := g.Calibrate(t.Context(), s.Shop.Owner, "D-1", gauges.NewCalibration{By: "lab", Standard: "gauge blocks", Points: []models.CalibrationPoint{{Reference: "-0.32", AsFound: "-0.22", Tolerance: "0.02"}, {Reference: "0.32", AsFound: "0.22", Tolerance: "0.02"}}})
	s.Must(err)
	return gauged{check.ID, out.Report.ID, out.Trace.ID}
}

// A calibration that fails, from its form to what is held and called back.
func TestAFailedGaugeByPages(t *testing.T) {
	Each(t, func(t *testing.T, s *Shop) {
		here, gone := s.Extremes(), s.Extremes()
		gone.Serial = *s.AnotherWheel().Serial
		for _, sub := range []*models.Submission{&here, &gone} {
			sub.Sets[0].Values, sub.Sets[1].Values = []string{"0.14", "-0.14"}, []string{"0.05", "-0.05"}
		}
		s.MustRecord(here)
		shipped := s.MustRecord(gone).Inspection.ItemID
		_, err := s.Store.AddShipment(t.Context(), models.NewStamp(s.Shop.Owner, s.Now), 31, models.Shipment{Items: []string{shipped}, Against: []models.Remark{models.NewRemark("not_released")}})
		s.Must(err)
		serial := func(n int) string {
			item := map[int]string{0: here.Serial, 1: gone.Serial}[n]
			return item[:3] + "-" + item[3:8] + "-" + item[8:]
		}
		form := url.Values{"by": {"lab"}, "standard": {"gauge blocks"}, "points[0].reference": {"0,32"}, "points[0].as_found": {""}, "points[0].tolerance": {"0.02"},
			"points[1].reference": {"0.32"}, "points[1].as_found": {"0.2x"}, "points[1].tolerance": {"0.02"}, "points[2].reference": {"-0.32"}, "points[2].as_found": {"-0.22"}, "points[2].tolerance": {"0.02"}}
		good := url.Values{}
		for k, v := range form {
			good[k] = v
		}
		good["points[1].as_found"] = []string{"0,22"}
		future := url.Values{}
		for k, v := range good {
			future[k] = v
		}
		future["day"] = []string{s.Now.AddDate(0, 0, 1).Format(time.DateOnly)}
		var path string
		traced := func(row Row, rest string) Row {
			row.Before = func(r *Row) {
				traces, err := s.App.Services.Gauges.Traces(t.Context(), "D-1")
				s.Must(err)
				path = "/instruments/D-1/traces/" + traces[0].ID
				r.Path = path + rest
			}
			return row
		}
		s.Run(t, []Row{
			{Name: "a gauge that nobody calibrated", Who: Desk, Path: "/instruments/D-1", Status: http.StatusOK, Has: []string{"None on record", "None is asked for"}, HasNot: []string{"Enter a calibration"}},
			{Name: "the desk calibrates nothing", Who: Desk, Path: "/instruments/D-1/calibrate", Status: http.StatusForbidden},
			{Name: "the form", Who: Inspector, Path: "/instruments/D-1/calibrate", Status: http.StatusOK, Has: []string{"What was there", "12 months on when it was found in tolerance, 6 months when it was not"}},
			Posted("a reading that is none", Inspector, "/instruments/D-1/calibrate", form, http.StatusUnprocessableEntity, "Read as found: ", `value="0.2x"`, "0,32"),
			Posted("dated after the readings that it should cover", Inspector, "/instruments/D-1/calibrate", future, http.StatusUnprocessableEntity, "It lies in the future"),
			Posted("it fails", Inspector, "/instruments/D-1/calibrate", good, http.StatusSeeOther),
			{Name: "the gauge says so", Who: Desk, Path: "/instruments/D-1", Status: http.StatusOK, Has: []string{"Found out of tolerance on 12 May 2031", "4 reading sets of 2 items", "2 items no longer pass, 1 of 2 shipped", "Out of use", "Left out of tolerance"}},
			{Name: "in the list", Who: Desk, Path: "/instruments", Status: http.StatusOK, Has: []string{"Out of use"}},
			traced(Row{Name: "what it had measured", Who: Desk, Status: http.StatusOK, Has: []string{serial(0), serial(1), "0.28\u00a0mm read, 0.4072", "No longer pass, shipped", "No longer pass, here", "from the beginning"}, HasNot: []string{"Call 1 back"}}, ""),
			traced(Row{Name: "the shipped ones", Who: Inspector, Status: http.StatusOK, Has: []string{serial(1), "S31-00001", "Call 1 back", "Put 1 on hold"}, HasNot: []string{serial(0)}}, "?show=shipped"),
			traced(Row{Name: "before they are held", Who: Operator, Status: http.StatusOK, Has: []string{"Put 1 item on hold"}}, "/hold"),
			traced(Posted("held", Operator, "", nil, http.StatusSeeOther), "/hold"),
			traced(Row{Name: "nothing is left to hold", Who: Operator, Status: http.StatusOK, Has: []string{"Nothing of what D-1 had measured is left"}}, "/hold"),
			traced(Posted("held twice", Operator, "", nil, http.StatusUnprocessableEntity, "Nothing of what D-1 had measured is left"), "/hold"),
			{Name: "the hold", Who: Desk, Path: "/items/" + here.Serial, Status: http.StatusOK, Has: []string{"D-1"}},
			func() Row {
				row := Row{Name: "what would be called back", Who: Inspector, Status: http.StatusOK, Has: []string{"1 item no longer passing since D-1 was found out of tolerance: 1 shipped", serial(1), "Call them back"}}
				row.Before = func(r *Row) { r.Path = "/recalls/new?trace=" + path[strings.LastIndex(path, "/")+1:] }
				return row
			}(),
			{Name: "no such trace", Who: Inspector, Path: "/instruments/D-1/traces/" + models.NewID(), Status: http.StatusNotFound},
			traced(Row{Name: "of another gauge", Who: Inspector, Status: http.StatusNotFound, Path: ""}, "x"),
			Posted("an operator lets it judge", Operator, "/instruments/D-1/out-note", url.Values{"out_note": {"why not"}}, http.StatusForbidden),
			s.openedAt(t, "/instruments/D-1", Posted("the owner does", Owner, "/instruments/D-1/out-note", url.Values{"out_note": {"only to sort"}}, http.StatusSeeOther)),
			{Name: "and it says so", Who: Desk, Path: "/instruments/D-1", Status: http.StatusOK, Has: []string{"only to sort"}},
		})
	})
}

// A short check is asked for, entered by a tap or by typing, charted and ended.
func TestShortChecksByPages(t *testing.T) {
	Each(t, func(t *testing.T, s *Shop) {
		var check string
		of := func(row Row, rest string) Row {
			row.Before = func(r *Row) {
				list, err := s.App.Services.Gauges.Checks(t.Context(), "D-1")
				s.Must(err)
				if len(list) > 0 {
					check = list[0].ID
				}
				r.Path = "/instruments/D-1/checks/" + check + rest
			}
			return row
		}
		// The page that a form leads to says what was done, beside the checks.
		said := func(row Row, done string) Row {
			row.Headers = map[string]string{"Location": "/instruments/D-1?done=" + done + "#checks"}
			return row
		}
		s.Run(t, []Row{
			Posted("a reference beside its limits", Inspector, "/instruments/D-1/checks", url.Values{"what": {"zero"}, "reference": {"1"}, "low": {"-0.02"}, "high": {"0.02"}}, http.StatusUnprocessableEntity, "The reference lies outside the limits"),
			said(Posted("asked for", Inspector, "/instruments/D-1/checks", url.Values{"what": {"zero"}, "reference": {"0"}, "low": {"-0.02"}, "high": {"0.02"}}, http.StatusSeeOther), "gauge_check"),
			{Name: "to be done", Who: OperatorAtStand, Path: "/instruments/D-1", Status: http.StatusOK, Has: []string{"To be done today", `value="-0.03"`, `value="0.02"`, "Keep the check"}},
			{Name: "today asks for it", Who: Operator, Path: "/", Status: http.StatusOK, Has: []string{"is to be checked today", `href="/instruments/D-1#checks"`}},
			of(Posted("nothing", OperatorAtStand, "", url.Values{"id": {models.NewID()}}, http.StatusUnprocessableEntity, "This is needed"), ""),
			of(said(Posted("tapped", OperatorAtStand, "", url.Values{"id": {models.NewID()}, "tapped": {"0.01"}, "value": {""}}, http.StatusSeeOther), "checked"), ""),
			{Name: "it is said", Who: OperatorAtStand, Path: "/instruments/D-1?done=checked", Status: http.StatusOK, Has: []string{"The check is kept.", `id="checks"`}},
			of(Row{Name: "its chart", Who: Desk, Status: http.StatusOK, Has: []string{"Zero: nothing unusual in 1 reading", "data-chart", "Done today"}}, ""),
			{Name: "today no longer asks", Who: Operator, Path: "/", Status: http.StatusOK, HasNot: []string{"is to be checked today", "failed its last check"}},
			of(Posted("it fails", OperatorAtStand, "", url.Values{"id": {models.NewID()}, "tapped": {"0.03"}}, http.StatusSeeOther), ""),
			{Name: "the gauge says so", Who: Desk, Path: "/instruments/D-1", Status: http.StatusOK, Has: []string{"Outside its limits", "A check failed on 12 May 2031"}},
			{Name: "today says so", Who: Operator, Path: "/", Status: http.StatusOK, Has: []string{"failed its last check", `href="/instruments/D-1#checks"`}, HasNot: []string{"Nothing waits"}},
			of(Row{Name: "the chart says so", Who: Desk, Status: http.StatusOK, Has: []string{"Zero: 1 unusual reading of 2", "Outside the limits of the check"}}, ""),
			of(Posted("an operator ends none", Operator, "", nil, http.StatusForbidden), "/end"),
			of(said(Posted("ended", Inspector, "", nil, http.StatusSeeOther), "gauge_check_ended"), "/end"),
			of(Row{Name: "it is gone", Who: Desk, Status: http.StatusNotFound}, ""),
		})
	})
}

// A tension that lies beyond the table of its gauge stands on the item's page as it
// was read, with what follows: nothing drawn or judged from it, and no release.
func TestATensionBeyondTheTableByPages(t *testing.T) {
	Each(t, func(t *testing.T, s *Shop) {
		s.SpokeType("2.3 mm plain")
		_, err := s.App.Services.Gauges.AddTable(t.Context(), s.Shop.Owner, "T-1", gauges.NewTable{SpokeType: "2.3 mm plain", Reason: "hung weights", Points: []models.GaugePoint{{Reading: "12", Tension: "420"}, {Reading: "25.5", Tension: "1610"}}})
		s.Must(err)
		sub := s.Extremes()
		for i := range sub.Sets {
			if set := &sub.Sets[i]; set.Characteristic == "tension_a" {
				set.Unit, set.Values = "div", []string{"20", "26,5", "20"}
			}
		}
		got := s.MustRecord(sub)
		path := "/items/" + sub.Serial
		s.Run(t, []Row{
			{Name: "on the item's page", Who: Desk, Path: path, Status: http.StatusOK, Has: []string{"A reading lies beyond the table of T-1 for 2.3 mm plain", "<b>26,5</b>", "Not complete: mean tension, tighter side", "spoke tension of 3 spokes"}},
			{Name: "by its key", Who: Desk, Path: "/api/v1/inspections/" + got.Inspection.ID, Status: http.StatusOK, Has: []string{`"outside_gauge_table"`, `"26,5"`, `"incomplete"`}},
			{Name: "no release", Who: Inspector, Path: path + "/release", Status: http.StatusOK, HasNot: []string{"Release it"}},
		})
	})
}
