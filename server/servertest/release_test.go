package servertest

import (
	"net/http"
	"net/url"
	"strings"
	"testing"

	"tracewright/models"
)

// certify is the request for a wheel's certificate, confirmed by a PIN.
func certify(serial, reason, pin string) Row {
	return Row{Method: http.MethodPost, Path: "/api/v1/items/" + serial + "/certificates", Body: object{"reason": reason, "confirm": object{"pin": pin}}}
}

// From a failed wheel to a certificate and its end, with everything that may
// stand between.
func TestFromAFailedWheelToACertificate(t *testing.T) {
	Each(t, func(t *testing.T, s *Shop) {
		serial := s.Serial[models.KindWheel]
		as := func(name, who string, row Row, status int, has ...string) Row {
			row.Name, row.Who, row.Status, row.Has = name, who, status, has
			return row
		}
		post := func(sub models.Submission) Row { return Row{Path: "/api/v1/inspections", Body: sub} }
		bad, good := s.Extremes(), s.Extremes()
		bad.Sets[0].Values = []string{"0.40", "-0.09"} // 0.49 mm, above the 0.30 of the grade.
		dim := s.Extremes()
		dim.Corrects, dim.Reason = good.ID, "spoke 5 was read twice"
		s.Run(t, []Row{
			as("nothing measured yet", OperatorAtStand, certify(serial, "", PIN), http.StatusConflict, `"not_inspected"`),
			as("a wheel that fails", OperatorAtStand, post(bad), http.StatusCreated, `"verdict":"fail"`, `"above_high"`, `"shown":"0.49"`),
			as("is not certified, and the result is named", OperatorAtStand, certify(serial, "", PIN), http.StatusConflict, `"result_failed"`, "problem/refused"),
			as("trued and read again", OperatorAtStand, post(good), http.StatusCreated, `"verdict":"pass"`, `"round":2`),
			as("another operator does not release it", SecondAtOtherSide, certify(serial, "", PIN), http.StatusForbidden, `"not_own_work"`, "problem/forbidden", "The operator measured it; The operator, an inspector or the owner releases it."),
			as("nor its own with a wrong PIN", OperatorAtStand, certify(serial, "", "000000"), http.StatusUnprocessableEntity, `"confirm.pin"`),
			as("nor with none", OperatorAtStand, certify(serial, "", ""), http.StatusUnprocessableEntity, `"confirm.pin"`),
			as("the desk never", Desk, certify(serial, "", PIN), http.StatusForbidden),
			as("a hold stops it", Desk, Row{Path: "/api/v1/holds", Body: object{"item": serial, "code": "W15", "reason": "a hairline"}}, http.StatusCreated, `"raised_by":"The desk"`),
			as("and is given as the reason", OperatorAtStand, certify(serial, "", PIN), http.StatusConflict, `"on_hold"`, "a hairline"),
			as("an operator lifts none", OperatorAtStand, Row{Path: "/api/v1/holds/x/lift", Body: object{"code": "corrected", "reason": "x"}}, http.StatusForbidden),
			s.lift(t, serial, "an inspector does", http.StatusOK),
			as("now it is certified", OperatorAtStand, certify(serial, "", PIN), http.StatusCreated, `"C31-00001"`, `"revision":1`, `"state":"issued"`),
			as("the item says so", Desk, Row{Path: "/api/v1/items/" + serial}, http.StatusOK, `"state":"released"`),
			as("a correction of what it says", OperatorAtStand, post(dim), http.StatusCreated, `"supersedes":"`+good.ID+`"`),
			as("a second revision needs a reason", OperatorAtStand, certify(serial, "", PIN), http.StatusUnprocessableEntity, `"reason_needed"`),
			as("and has one", OperatorAtStand, certify(serial, "read again", PIN), http.StatusCreated, `"C31-00001"`, `"revision":2`),
			as("the first is superseded", Desk, Row{Path: "/api/v1/certificates/C31-00001/1"}, http.StatusOK, `"state":"superseded"`),
			as("an operator voids none", OperatorAtStand, Row{Path: "/api/v1/certificates/C31-00001/2/void", Body: object{"reason": "x"}}, http.StatusForbidden),
			as("an inspector gives a reason", InspectorAtStand, Row{Path: "/api/v1/certificates/C31-00001/2/void", Body: object{"confirm": object{"pin": PIN}}}, http.StatusUnprocessableEntity, `"reason"`),
			as("and voids it", InspectorAtStand, Row{Path: "/api/v1/certificates/C31-00001/2/void", Body: object{"reason": "wrong rim named", "confirm": object{"pin": PIN}}}, http.StatusOK, `"state":"void"`),
			as("once", InspectorAtStand, Row{Path: "/api/v1/certificates/C31-00001/2/void", Body: object{"reason": "again", "confirm": object{"pin": PIN}}}, http.StatusConflict, `"already_void"`, "void already, since 12 May 2031, by The inspector."),
			as("nor one that was superseded", InspectorAtStand, Row{Path: "/api/v1/certificates/C31-00001/1/void", Body: object{"reason": "again", "confirm": object{"pin": PIN}}}, http.StatusConflict, `"already_superseded"`, "superseded by revision 2 on 12 May 2031"),
			as("its paper stays", Desk, Row{Path: "/api/v1/certificates/C31-00001/2/paper"}, http.StatusOK, "%PDF-"),
			as("one that never was", Desk, Row{Path: "/api/v1/certificates/C31-00001/3"}, http.StatusNotFound),
			as("a revision that is no number", Desk, Row{Path: "/api/v1/certificates/C31-00001/first"}, http.StatusNotFound),
		})
	})
}

// An operator who did not measure a wheel is told so before anything is asked: on
// its page, on the page that would ask for the PIN, and by what the form answers.
func TestWhoseWorkItIsIsSaidBeforeTheSecret(t *testing.T) {
	s := On(t, openSQLite(t))
	serial := s.Serial[models.KindWheel]
	why := "The operator measured it; The operator, an inspector or the owner releases it."
	open := Posted("an open form says it too", SecondAtOtherSide, "/items/"+serial+"/release", nil, http.StatusForbidden, "<h1>No certificate", why)
	open.Before = func(r *Row) {
		r.Body = url.Values{"confirm.pin": {PIN}, "from": {s.open(t, OperatorAtStand, r.Path)}}.Encode()
	}
	s.Run(t, []Row{
		{Name: "measured by one", Who: OperatorAtStand, Path: "/api/v1/inspections", Body: s.Extremes(), Status: http.StatusCreated},
		{Name: "the other sees why not", Who: SecondAtOtherSide, Path: "/items/" + serial, Status: http.StatusOK, Has: []string{why, "Issue certificate"}, HasNot: []string{"/release\""}},
		{Name: "and is asked for no PIN", Who: SecondAtOtherSide, Path: "/items/" + serial + "/release", Status: http.StatusOK, Has: []string{why}, HasNot: []string{"confirm.pin"}},
		open,
		{Name: "who measured it may", Who: OperatorAtStand, Path: "/items/" + serial, Status: http.StatusOK, Has: []string{"/release\""}, HasNot: []string{why}},
		{Name: "an inspector may", Who: InspectorAtStand, Path: "/items/" + serial + "/release", Status: http.StatusOK, Has: []string{"confirm.pin"}, HasNot: []string{why}},
	})
}

// The page of an item says as its certificate does which limits were not measured:
// extremes give no difference between neighbours.
func TestThePageSaysWhatWasNotMeasured(t *testing.T) {
	s := On(t, openSQLite(t))
	serial := s.Serial[models.KindWheel]
	whole := s.EveryHole()
	whole.Stage, whole.StartedAt, whole.FinishedAt = models.Recheck, s.Now, s.Now
	page := func(name string, has ...string) Row {
		return Row{Name: name, Who: Desk, Path: "/items/" + serial, Status: http.StatusOK, Has: has, HasNot: []string{"No limit"}}
	}
	issue := func(name, reason string) Row {
		r := certify(serial, reason, PIN)
		r.Name, r.Who, r.Status = name, OperatorAtStand, http.StatusCreated
		return r
	}
	post := func(name string, sub models.Submission) Row {
		return Row{Name: name, Who: OperatorAtStand, Path: "/api/v1/inspections", Body: sub, Status: http.StatusCreated}
	}
	left := "Not measured: neighbour difference, side A; neighbour difference, side B"
	s.Run(t, []Row{
		post("by its extremes", s.Extremes()),
		page("passed", "<h1>Passed every limit that was measured; not certified yet. "+left+"</h1>", "Not measured: the method does not give it."),
		issue("certified", ""),
		page("certified", "<h1>Passed every limit that was measured, and certified. "+left+"</h1>"),
		post("at every hole", whole),
		issue("certified again", "read at every hole"),
		page("nothing is left out", "<h1>Passed every limit, and certified</h1>"),
	})
}

// The paper that was handed out can be seen again as it was, after what came
// later has put its mark on the paper of today.
func TestTheOriginalPaperIsKept(t *testing.T) {
	Each(t, func(t *testing.T, s *Shop) {
		serial := s.Serial[models.KindWheel]
		const first, second = "/api/v1/certificates/C31-00001/1", "/api/v1/certificates/C31-00001/2"
		var handedOut string
		row := func(name, who, path string, status int, has ...string) Row {
			return Row{Name: name, Who: who, Path: path, Status: status, Has: has}
		}
		issue := func(name, reason string) Row {
			r := certify(serial, reason, PIN)
			r.Name, r.Who, r.Status = name, OperatorAtStand, http.StatusCreated
			return r
		}
		opened := row("its paper is opened", Desk, first+"/paper", http.StatusOK, "%PDF-")
		opened.After = func(_ *testing.T, h http.Header, _ []byte) { handedOut = h.Get("ETag") }
		same := func(r Row, want bool) Row {
			r.After = func(t *testing.T, h http.Header, _ []byte) {
				if (h.Get("ETag") == handedOut) != want {
					t.Errorf("the bytes are those first handed out: %v, want %v", !want, want)
				}
			}
			return r
		}
		s.Run(t, []Row{
			{Name: "a wheel", Who: OperatorAtStand, Path: "/api/v1/inspections", Body: s.Extremes(), Status: http.StatusCreated},
			issue("is certified", ""),
			opened,
			same(row("in force, the original is the paper", Desk, first+"/paper/original", http.StatusOK), true),
			issue("a second revision", "the rim was named wrongly"),
			same(row("the first paper bears its mark now", Desk, first+"/paper", http.StatusOK), false),
			same(row("and its original does not", Desk, first+"/paper/original", http.StatusOK), true),
			row("the page has it too", Desk, "/certificates/C31-00001/1/original", http.StatusOK, "%PDF-"),
			row("and the item’s page leads there", Desk, "/items/"+serial, http.StatusOK, `href="/certificates/C31-00001/1/original"`),
			{Name: "the second is void before anybody opened it", Who: InspectorAtStand, Path: second + "/void", Body: object{"reason": "again", "confirm": object{"pin": PIN}}, Status: http.StatusOK},
			row("so it has no original, and that is said", Desk, second+"/paper/original", http.StatusNotFound, `"original_never_drawn"`, "first opened after"),
			row("on the page as well", Desk, "/certificates/C31-00001/2/original", http.StatusNotFound, "first opened after"),
			row("its marked paper is there", Desk, second+"/paper", http.StatusOK, "%PDF-"),
		})
	})
}

// lift makes the row that lifts the one open hold; its id is known only once it
// was raised, so it is asked for when the row runs.
func (s *Shop) lift(t *testing.T, serial, name string, status int) Row {
	t.Helper()
	return Row{Name: name, Who: InspectorAtStand, Status: status, Path: "/api/v1/holds/:open/lift", Body: object{"code": "no_fault_found", "reason": "a scratch in the paint", "confirm": object{"pin": PIN}},
		Before: func(row *Row) {
			holds, err := s.Store.OpenHolds(t.Context(), s.Item[models.KindWheel].ID)
			s.Must(err)
			row.Path = strings.Replace(row.Path, ":open", holds[0].ID, 1)
		}}
}

func TestAShopWithoutANameCertifiesNothing(t *testing.T) {
	Each(t, func(t *testing.T, s *Shop) {
		s.Must(s.Store.SetSetting(t.Context(), models.NewStamp(models.Actor{}, s.Now), models.SettingShopName, ""))
		row := certify(s.Serial[models.KindWheel], "", PIN)
		s.Run(t, []Row{
			{Name: "a good wheel", Who: OperatorAtStand, Path: "/api/v1/inspections", Body: s.Extremes(), Status: http.StatusCreated, Has: []string{`"verdict":"pass"`}},
			{Name: "and nobody to stand behind it", Who: OperatorAtStand, Method: row.Method, Path: row.Path, Body: row.Body, Status: http.StatusConflict, Has: []string{`"shop_name_missing"`}},
		})
	})
}

// Two tablets at one draft: whoever saves over what was not seen is told.
func TestTwoTabletsAtOneDraft(t *testing.T) {
	Each(t, func(t *testing.T, s *Shop) {
		sub := s.Extremes()
		draft := sub
		draft.Sets = sub.Sets[:1]
		path := "/api/v1/drafts/" + sub.ID
		save := func(name, who string, version, status int, has ...string) Row {
			return Row{Name: name, Who: who, Method: http.MethodPut, Path: path, Body: object{"version": version, "content": draft}, Status: status, Has: has}
		}
		s.Run(t, []Row{
			save("begun", OperatorAtStand, 0, http.StatusCreated, `"version":1`, `"person":"The operator"`),
			save("saved again", OperatorAtStand, 1, http.StatusOK, `"version":2`),
			{Name: "the plan offers it", Who: SecondAtOtherSide, Path: "/api/v1/plans/" + sub.Serial, Status: http.StatusOK, Has: []string{`"open_draft":{"id":"` + sub.ID}},
			{Name: "taken over", Who: SecondAtOtherSide, Method: http.MethodPost, Path: path + "/take-over", Status: http.StatusOK, Has: []string{`"person":"The second operator at stand 2"`}},
			save("the first tablet is told", OperatorAtStand, 2, http.StatusConflict, "problem/stale"),
			{Name: "and sees who has it", Who: OperatorAtStand, Path: path, Status: http.StatusOK, Has: []string{"The second operator at stand 2"}},
			{Name: "submitted", Who: SecondAtOtherSide, Path: "/api/v1/inspections", Body: sub, Status: http.StatusCreated},
			{Name: "it is closed", Who: OperatorAtStand, Path: path, Status: http.StatusOK, Has: []string{`"closed":true`}},
			{Name: "and gone from the list", Who: OperatorAtStand, Path: "/api/v1/drafts", Status: http.StatusOK, HasNot: []string{sub.ID}},
			save("nobody saves into it", SecondAtOtherSide, 3, http.StatusConflict),
			{Name: "another id in the content", Who: OperatorAtStand, Method: http.MethodPut, Path: "/api/v1/drafts/" + models.NewID(), Body: object{"version": 0, "content": draft}, Status: http.StatusUnprocessableEntity, Has: []string{`"content.id"`}},
		})
	})
}
