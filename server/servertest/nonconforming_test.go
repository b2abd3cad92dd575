package servertest

import (
	"bytes"
	"mime/multipart"
	"net/http"
	"net/url"
	"regexp"
	"strings"
	"testing"

	"tracewright/models"
	"tracewright/models/work/documents"
	"tracewright/models/work/recall"
)

// doubted opens one of everything about nonconforming work, for the pages.
func (s *Shop) doubted(t *testing.T) (number, action string) {
	t.Helper()
	wheel := s.AnotherWheel()
	for _, x := range []struct {
		path, want string
		into       *string
		body       object
	}{
		{"/api/v1/nonconformities", "NC31-00001", &number, object{"item": *wheel.Serial, "code": "W15", "note": "a hairline"}},
		{"/api/v1/corrective-actions", "CA31-00001", &action, object{"problem": "rims crack", "owner": s.People[Inspector].ID, "due_on": "2031-05-01", "nonconformities": []string{"NC31-00001"}}},
	} {
		status, _, body := s.Do(t, Row{Who: Inspector, Path: x.path, Body: x.body})
		if status != http.StatusCreated || !strings.Contains(string(body), x.want) {
			t.Fatalf("%s: status %d: %s", x.path, status, shortened(body))
		}
		*x.into = x.want
	}
	return number, action
}

// By the pages: an operator closes a wheel as nonconforming, an inspector at the
// stand decides with a PIN, and what asks for a certificate meanwhile is told why
// not.
func TestANonconformityByThePages(t *testing.T) {
	Each(t, func(t *testing.T, s *Shop) {
		serial, one := s.Serial[models.KindWheel], "/nonconformities/NC31-00001"
		bad := s.Extremes()
		bad.Sets[0].Values = []string{"0.40", "-0.09"}
		pin := func(fields url.Values) url.Values { fields.Set("confirm.pin", PIN); return fields }
		page := func(name, who, path string, has ...string) Row {
			return Row{Name: name, Who: who, Path: path, Status: http.StatusOK, Has: has}
		}
		form := func(name, who, path string, fields url.Values, has ...string) Row {
			status := http.StatusSeeOther
			if len(has) > 0 {
				status = http.StatusUnprocessableEntity
			}
			return Posted(name, who, path, fields, status, has...)
		}
		s.Run(t, []Row{
			{Name: "a wheel that fails", Who: OperatorAtStand, Path: "/api/v1/inspections", Body: bad, Status: http.StatusCreated},
			page("one tap from its page", Operator, "/items/"+serial, "/items/"+serial+"/nonconforming"),
			form("what was seen is needed", OperatorAtStand, "/items/"+serial+"/nonconforming", url.Values{"code": {"W01"}}, "Say why: the reason is kept with the change."),
			form("closed as nonconforming", OperatorAtStand, "/items/"+serial+"/nonconforming", url.Values{"code": {"W01"}, "note": {"swings"}}),
			{Name: "no certificate for what is on hold", Who: OperatorAtStand, Method: http.MethodPost, Path: "/api/v1/items/" + serial + "/certificates", Body: object{"confirm": object{"pin": PIN}}, Status: http.StatusConflict, Has: []string{`"on_hold"`, "swings"}},
			page("the item's page leads to it", Desk, "/items/"+serial, "Open NC31-00001", one),
			page("so does the first page", Desk, "/", "NC31-00001", "Waits for a decision"),
			page("an operator sees who decides", Operator, one, "An inspector or the owner decides"),
			page("an inspector chooses", Inspector, one, one+"?what=rework", one+"?what=scrap"),
			page("and is asked what that needs", Inspector, one+"?what=rework", "Spokes turned"),
			Posted("an operator does not decide", OperatorAtStand, one+"/disposition", pin(url.Values{"what": {"rework"}, "work": {"retension"}, "note": {"true it"}}), http.StatusForbidden),
			form("nor anybody without the PIN", InspectorAtStand, one+"/disposition", url.Values{"what": {"rework"}, "work": {"retension"}, "note": {"true it"}}, "confirm.pin"),
			form("decided", InspectorAtStand, one+"/disposition", pin(url.Values{"what": {"use_as_is"}, "note": {"it fits"}})),
			page("waits to be approved", Inspector, one, "Approve that"),
			form("yes or no", InspectorAtStand, one+"/approval", pin(url.Values{}), "This is needed."),
			form("approved", InspectorAtStand, one+"/approval", pin(url.Values{"approve": {"yes"}})),
			page("and closed", Desk, one, "Concession approved"),
			{Name: "a certificate", Who: InspectorAtStand, Method: http.MethodPost, Path: "/api/v1/items/" + serial + "/certificates", Body: object{"confirm": object{"pin": PIN}}, Status: http.StatusCreated},
			{Name: "names the concession", Who: Desk, Path: "/api/v1/certificates/C31-00001/1", Status: http.StatusOK, Has: []string{`"concession":{"approved_by"`, `"number":"NC31-00001"`, `"verdict":"fail"`}},
			page("the list has it among the closed", Desk, "/nonconformities", "No nonconformity is open", "NC31-00001"),
		})
	})
}

// What is decided stands in the item's history and among the changes, with its
// number; a lot that a return names is a code there, and no key.
func TestANonconformityIsTold(t *testing.T) {
	Each(t, func(t *testing.T, s *Shop) {
		serial, one := s.Serial[models.KindWheel], "/nonconformities/NC31-00001"
		s.Must(s.Store.AddLot(t.Context(), models.NewStamp(s.Shop.Owner, s.Now), models.Lot{ID: models.NewID(), Code: "RM-7", Material: "rims", Supplier: "Corran", Quantity: 10}))
		told := func(has ...string) func(*testing.T, http.Header, []byte) {
			return func(t *testing.T, _ http.Header, body []byte) {
				list := regexp.MustCompile(`(?s)<(tbody|ol)[^>]*>.*</(tbody|ol)>`).Find(body)
				for _, want := range has {
					if !strings.Contains(string(list), want) {
						t.Errorf("%q is not told: %s", want, list)
					}
				}
			}
		}
		s.Run(t, []Row{
			{Name: "opened", Who: Operator, Path: "/api/v1/nonconformities", Body: object{"item": serial, "code": "W15", "note": "a hairline"}, Status: http.StatusCreated},
			Posted("goes back", Inspector, one+"/disposition", url.Values{"what": {"return_supplier"}, "lot": {"RM-7"}, "note": {"their rim"}, "confirm.password": {Password}}, http.StatusSeeOther),
			{Name: "an action on it", Who: Inspector, Path: "/api/v1/corrective-actions", Body: object{"problem": "rims crack", "owner": s.People[Inspector].ID, "due_on": "2031-05-01", "nonconformities": []string{"NC31-00001"}}, Status: http.StatusCreated},
			{Name: "found by its number", Who: Operator, Path: "/find?q=nc31-00001", Status: http.StatusSeeOther, Headers: map[string]string{"Location": one}},
			{Name: "the action by its own", Who: Operator, Path: "/find?q=CA31-00001", Status: http.StatusSeeOther, Headers: map[string]string{"Location": "/corrective-actions/CA31-00001"}},
			{Name: "in the history", Who: Desk, Path: "/items/" + serial, Status: http.StatusOK, Has: []string{" opened: rim dent or crack. A hairline.", " to go back to its supplier. To Corran. Of lot RM-7. Their rim."}},
			Posted("a label of it", Operator, "/items/"+serial+"/label", nil, http.StatusSeeOther),
			{Name: "leads to it", Who: Owner, Path: "/changes?kind=label_print", Status: http.StatusOK, After: told("Printed", "/items/"+serial)},
			{Name: "a photo leads to what it shows", Who: Owner, Path: "/changes?kind=attachment", Status: http.StatusOK, After: told("Paper or photo kept", one), Before: func(*Row) {
				v, err := s.App.Services.Nonconforming.One(t.Context(), "NC31-00001")
				s.Must(err)
				s.Must(s.App.Services.Documents.Add(t.Context(), s.Shop.Operator, models.SubjectNonconformity, v.ID, documents.Sent{Name: "p", Bytes: photo(t)}))
			}},
			{Name: "among all changes", Who: Owner, Path: "/changes", Status: http.StatusOK, After: told("Nonconformity opened", "Nonconformity taken further", one, "A hairline.", "Their rim.", "/corrective-actions/CA31-00001")},
			{Name: "and among those of the item", Who: Owner, Path: "/changes?about=" + serial, Status: http.StatusOK, After: told("Nonconformity opened", "Nonconformity taken further", "/items/"+serial)},
		})
	})
}

// A wheel that fails once more after its rework goes back to be decided anew, one
// tap from where that is seen; and one case is said to be worse than its code.
func TestAReworkThatDidNotDo(t *testing.T) {
	Each(t, func(t *testing.T, s *Shop) {
		serial, one := s.Serial[models.KindWheel], "/nonconformities/NC31-00001"
		page := "/items/" + serial + "/nonconforming"
		password := url.Values{"confirm.password": {Password}, "what": {"rework"}, "work": {"retension"}, "note": {"true it"}}
		s.Run(t, []Row{
			Posted("not better than its code", Operator, page, url.Values{"code": {"W15"}, "severity": {"major"}, "note": {"dent"}}, http.StatusUnprocessableEntity, "W15 counts as worse"),
			Posted("worse than its code", Operator, page, url.Values{"code": {"W01"}, "severity": {"critical"}, "note": {"hits the brake"}}, http.StatusSeeOther),
			{Name: "is said", Who: Desk, Path: one, Status: http.StatusOK, Has: []string{"Critical"}},
			Posted("decided", Inspector, one+"/disposition", password, http.StatusSeeOther),
			{Name: "nothing to close while it is worked on", Who: Operator, Path: one, Status: http.StatusOK, HasNot: []string{page}},
			Posted("done", Operator, one+"/done", nil, http.StatusSeeOther),
			{Name: "one tap", Who: Operator, Path: one, Status: http.StatusOK, Has: []string{`href="` + page + `"`}},
			{Name: "what was wrong is chosen, and how bad may be said anew", Who: Operator, Path: page, Status: http.StatusOK, Has: []string{"It still does not conform", `<option value="W01" selected`, `name="severity"`}},
			Posted("closed once more", Operator, page, url.Values{"code": {"W01"}, "note": {"swings again"}}, http.StatusSeeOther),
			{Name: "to be decided anew", Who: Inspector, Path: one, Status: http.StatusOK, Has: []string{"Waits for a decision", "Inspected again, and closed as nonconforming"}},
		})
	})
}

// What is typed of a step stays when a note or a photo is added, and a note that was
// typed and not added goes with the step.
func TestWhatIsTypedOfAStepStays(t *testing.T) {
	Each(t, func(t *testing.T, s *Shop) {
		serial, one := s.Serial[models.KindWheel], "/nonconformities/NC31-00001"
		multi := func(name string, fields url.Values, has ...string) Row {
			var body bytes.Buffer
			form := multipart.NewWriter(&body)
			for field, v := range fields {
				s.Must(form.WriteField(field, v[0]))
			}
			part, err := form.CreateFormFile("file", "rim.png")
			s.Must(err)
			_, err = part.Write(dot(t))
			s.Must(err)
			s.Must(form.Close())
			return Row{Name: name, Who: Operator, Method: http.MethodPost, Path: one + "/photos", Body: body.Bytes(), Header: map[string]string{"Content-Type": form.FormDataContentType()}, Status: http.StatusOK, Has: has}
		}
		seen := models.NewID()
		again := func(name string) Row {
			return Posted(name, Inspector, one+"/notes", url.Values{"seen": {seen}, "what": {"rework"}, "note": {"a new rim"}, "remark": {"the joint was filed"}}, http.StatusOK)
		}
		s.Run(t, []Row{
			Posted("opened", Operator, "/items/"+serial+"/nonconforming", url.Values{"code": {"W01"}, "note": {"swings"}}, http.StatusSeeOther),
			Posted("a note while it is decided", Inspector, one+"/notes", url.Values{"what": {"rework"}, "work": {"rim_change"}, "note": {"a new rim"}, "remark": {"it swings at the joint"}}, http.StatusOK, `<option value="rim_change" selected>`, "a new rim</textarea>", "It swings at the joint.</td>", `rows="2"></textarea>`),
			Posted("a problem of it stands at it", Inspector, one+"/notes", url.Values{"what": {"rework"}, "note": {"a new rim"}, "remark": {strings.Repeat("x", 501)}}, http.StatusUnprocessableEntity, `id="remark-wrong"`),
			Posted("with the step it is too long", Inspector, one+"/disposition", url.Values{"confirm.password": {Password}, "what": {"rework"}, "work": {"rim_change"}, "note": {strings.Repeat("y", 300)}, "remark": {strings.Repeat("x", 300)}}, http.StatusUnprocessableEntity, `id="remark-wrong"`),
			again("sent from the page"), again("sent once more by a reload"),
			{Name: "kept once", Who: Operator, Path: one, Status: http.StatusOK, After: func(t *testing.T, _ http.Header, body []byte) {
				if n := strings.Count(string(body), "The joint was filed.</td>"); n != 1 {
					t.Errorf("the note is kept %d times", n)
				}
			}},
			Posted("no note", Inspector, one+"/notes", url.Values{"what": {"rework"}, "note": {"a new rim"}, "remark": {" "}}, http.StatusUnprocessableEntity, `id="remark-wrong"`, "a new rim</textarea>"),
			Posted("decided", Inspector, one+"/disposition", url.Values{"confirm.password": {Password}, "what": {"rework"}, "work": {"rim_change"}, "note": {"a new rim"}}, http.StatusSeeOther),
			{Name: "to its parts", Who: Operator, Path: one, Status: http.StatusOK, Has: []string{"/items/" + serial + "/parts"}},
			multi("a photo while it is worked on", url.Values{"note": {"spokes cut"}, "remark": {"rim kept"}}, "spokes cut</textarea>", "rim kept</textarea>", "rim.png", "The paper is kept."),
			Posted("done", Operator, one+"/done", url.Values{"note": {"laced anew"}, "remark": {"rim kept for the supplier"}}, http.StatusSeeOther),
			{Name: "both are on record", Who: Operator, Path: one, Status: http.StatusOK, Has: []string{"Laced anew", "rim kept for the supplier"}, HasNot: []string{"spokes cut"}},
		})
	})
}

// Another hold stops a rework: the page says so and where, and the work is said to be
// done once that is lifted.
func TestAReworkUnderAnotherHold(t *testing.T) {
	Each(t, func(t *testing.T, s *Shop) {
		serial, one := s.Serial[models.KindWheel], "/nonconformities/NC31-00001"
		var recalled string
		s.Run(t, []Row{
			Posted("opened", Operator, "/items/"+serial+"/nonconforming", url.Values{"code": {"W01"}, "note": {"swings"}}, http.StatusSeeOther),
			Posted("decided", Inspector, one+"/disposition", url.Values{"confirm.password": {Password}, "what": {"rework"}, "work": {"retension"}, "note": {"true it"}}, http.StatusSeeOther),
			{Name: "worked on", Who: Operator, Path: one, Status: http.StatusOK, Has: []string{"The work is done"}},
		})
		r, err := s.App.Services.Recall.Make(t.Context(), s.Shop.Owner, recall.NewRecall{Ask: recall.Ask{Part: serial}, Reason: "elbows crack"})
		s.Must(err)
		recalled = r.Number
		hold := func() string {
			holds, err := s.Store.OpenHolds(t.Context(), s.Item[models.KindWheel].ID)
			s.Must(err)
			for _, h := range holds {
				if h.Reason == recalled {
					return h.ID
				}
			}
			t.Fatal("the recall holds it not")
			return ""
		}
		s.Run(t, []Row{
			{Name: "stopped", Who: Operator, Path: one, Status: http.StatusOK, Has: []string{"another hold stops the work. Once that is lifted, say here that the work is done.", "On hold beside that:", `href="/recalls/` + recalled}, HasNot: []string{"Decide what becomes of it", "Decide anew"}},
			{Name: "for who decides", Who: Inspector, Path: one, Status: http.StatusOK, Has: []string{"another hold stops the work", "Decide anew", `/holds/` + hold() + `/lift`}, HasNot: []string{"Decide what becomes of it"}},
			{Name: "decided anew", Who: Inspector, Path: one + "?what=anew", Status: http.StatusOK, Has: []string{one + "?what=rework"}},
			Posted("lifted", Inspector, "/holds/"+hold()+"/lift", url.Values{"confirm.password": {Password}, "code": {"corrected"}, "reason": {"spokes replaced"}}, http.StatusSeeOther),
			{Name: "the work goes on", Who: Operator, Path: one, Status: http.StatusOK, Has: []string{"The work is done"}, HasNot: []string{"another hold"}},
		})
	})
}

// A code that is worded anew keeps the words of before on what is on record, and
// one that is retired is offered no more.
func TestCodesKeepTheWordsOfTheirTime(t *testing.T) {
	Each(t, func(t *testing.T, s *Shop) {
		serial := s.Serial[models.KindWheel]
		hold := func(name string, status int, has ...string) Row {
			return Row{Name: name, Who: Operator, Path: "/api/v1/holds", Body: object{"item": serial, "code": "W14", "reason": "felt"}, Status: status, Has: has}
		}
		later := func(row Row) Row {
			row.Before = func(*Row) { s.Now = s.Now.Add(1e9) }
			return row
		}
		s.Run(t, []Row{
			hold("held as shipped", http.StatusCreated, "rim joint step"),
			later(Posted("worded anew", Owner, "/defects/W14", url.Values{"from": {"0"}, "name": {"joint can be felt"}, "severity": {"major"}, "reason": {"plainer"}}, http.StatusSeeOther)),
			later(hold("held in the new words", http.StatusCreated, "joint can be felt")),
			{Name: "each keeps its own", Who: Desk, Path: "/api/v1/items/" + serial, Status: http.StatusOK, Has: []string{"rim joint step", "joint can be felt"}},
			Posted("from what it was before somebody changed it", Owner, "/defects/W14", url.Values{"from": {"0"}, "name": {"x"}, "severity": {"major"}, "reason": {"r"}}, http.StatusUnprocessableEntity, "changed"),
			later(Posted("retired", Owner, "/defects/W14", url.Values{"from": {"1"}, "name": {"joint can be felt"}, "severity": {"major"}, "retired": {"yes"}, "reason": {"never used"}}, http.StatusSeeOther)),
			hold("offered no more", http.StatusUnprocessableEntity, `"unknown_code"`),
			{Name: "but known", Who: Desk, Path: "/api/v1/items/" + serial, Status: http.StatusOK, Has: []string{"joint can be felt"}},
			later(Posted("one of the shop's own", Owner, "/defects/new", url.Values{"code": {"w25"}, "name": {"hub cap loose"}, "severity": {"minor"}, "reason": {"seen"}}, http.StatusSeeOther)),
			{Name: "is offered", Who: Operator, Path: "/items/" + serial + "/nonconforming", Status: http.StatusOK, Has: []string{"Hub cap loose (W25)"}, HasNot: []string{"(W14)"}},
			Posted("not any text is a code", Owner, "/defects/new", url.Values{"code": {"X1"}, "name": {"x"}, "severity": {"minor"}, "reason": {"r"}}, http.StatusUnprocessableEntity, "W25"),
			Posted("an inspector changes none", Inspector, "/defects/W14", url.Values{}, http.StatusForbidden),
		})
	})
}

// A corrective action by the pages: late, done, no better, done again, closed.
func TestACorrectiveActionByThePages(t *testing.T) {
	Each(t, func(t *testing.T, s *Shop) {
		one, owner := "/corrective-actions/CA31-00001", s.People[Inspector].ID
		plan := func(name, path string, status int, more url.Values, has ...string) Row {
			fields := url.Values{"problem": {"rims crack"}, "owner": {owner}, "due_on": {"2031-05-01"}}
			for k, v := range more {
				fields[k] = v
			}
			return Posted(name, Inspector, path, fields, status, has...)
		}
		step := func(name, what string, fields url.Values, status int, has ...string) Row {
			return Posted(name, Inspector, one+"/"+what, fields, status, has...)
		}
		s.Run(t, []Row{
			plan("a code that is none", "/corrective-actions/new", http.StatusUnprocessableEntity, url.Values{"codes": {"W99"}}, "W99"),
			plan("a lot that is none", "/corrective-actions/new", http.StatusUnprocessableEntity, url.Values{"lots": {"L-0"}}, "L-0"),
			plan("a check before it is done", "/corrective-actions/new", http.StatusUnprocessableEntity, url.Values{"check_on": {"2031-04-01"}}, "after it was done"),
			plan("opened", "/corrective-actions/new", http.StatusSeeOther, url.Values{"codes": {"W15, W11;W10"}}),
			{Name: "the first page says that it is late", Who: Desk, Path: "/", Status: http.StatusOK, Has: []string{"CA31-00001", "was to be done by 1 May 2031"}},
			{Name: "and the list", Who: Desk, Path: "/corrective-actions", Status: http.StatusOK, Has: []string{"One corrective action is overdue"}},
			step("not done before its cause is known", "done", nil, http.StatusUnprocessableEntity, "This is needed."),
			s.opened(t, plan("planned", one, http.StatusSeeOther, url.Values{"cause": {"too thin"}, "action": {"another rim"}, "due_on": {"2031-06-01"}, "check_on": {"2031-07-01"}})),
			step("done", "done", url.Values{"note": {"ordered"}}, http.StatusSeeOther),
			step("said without how it was seen", "check", url.Values{"worked": {"no"}}, http.StatusUnprocessableEntity, "Say why: the reason is kept with the change."),
			step("it did not work", "check", url.Values{"worked": {"no"}, "note": {"two more"}}, http.StatusSeeOther),
			{Name: "is open again", Who: Desk, Path: one, Status: http.StatusOK, Has: []string{"did not work. Find the cause anew"}},
			step("and not closed", "close", nil, http.StatusUnprocessableEntity, "another step"),
			step("done again", "done", nil, http.StatusSeeOther),
			step("it worked", "check", url.Values{"worked": {"yes"}, "note": {"none since"}}, http.StatusSeeOther),
			wantsSecond(s, step("where the shop wants another person, who saw to it does not close it", "close", nil, http.StatusUnprocessableEntity, "another person")),
			Posted("somebody else does", Owner, one+"/close", nil, http.StatusSeeOther),
			step("nothing after", "done", nil, http.StatusUnprocessableEntity, "CA31-00001 is closed"),
		})
	})
}

// wantsSecond is a row before which the shop asks for another person.
func wantsSecond(s *Shop, row Row) Row {
	row.Before = func(*Row) {
		s.Must(s.Store.SetSetting(s.Context(), models.NewStamp(s.Shop.Owner, s.Now), models.SettingSecondPerson, "corrective_action"))
	}
	return row
}

// A shop chooses what another person confirms.
func TestSecondPersonIsChosen(t *testing.T) {
	s := On(t, openSQLite(t))
	s.Run(t, []Row{
		s.opened(t, Posted("two of them", Owner, "/shop", url.Values{"name": {"x"}, "time_zone": {"UTC"}, "second_person_scrap": {"yes"}, "second_person_use_as_is": {"yes"}}, http.StatusSeeOther)),
		{Name: "are shown", Who: Owner, Path: "/shop", Status: http.StatusOK, Has: []string{`name="second_person_scrap" value="yes" checked`, `name="second_person_rework" value="yes">`}, After: func(t *testing.T, _ http.Header, _ []byte) {
			settings, err := s.Store.Settings(t.Context())
			s.Must(err)
			if got := settings[models.SettingSecondPerson]; got != "use_as_is scrap" {
				t.Errorf("kept as %q", got)
			}
		}},
	})
}
