package servertest

import (
	"bytes"
	"net/http"
	"testing"

	"tracewright/models"
	"tracewright/models/work/receive"
	"tracewright/server/api"
)

// sent is the row of a request that is sent as JSON.
func sent(name, who, path string, body any, status int, has ...string) Row {
	return Row{Name: name, Who: who, Method: http.MethodPost, Path: api.Base + path, Body: body, Status: status, Has: has}
}

// A program calls a lot back by the interface as the pages do, and may send each
// step twice.
func TestALotCalledBackByAProgram(t *testing.T) {
	Each(t, func(t *testing.T, s *Shop) {
		_, err := receive.New(s.Store, s.Clock, s.App.Services.Zone).AddLot(t.Context(), s.Shop.Owner, models.Lot{Code: "SP-0214", Material: "spokes", Quantity: 500})
		s.Must(err)
		sub := s.Extremes()
		sub.Parts = []models.SentPart{{Role: "spokes_a", Lot: "SP-0214", Quantity: 18}}
		s.MustRecord(sub)
		box, wheel, path := s.kitted(t), s.Serial[models.KindWheel], "/recalls/R31-00001"
		in := object{"id": models.NewID(), "lot": "SP-0214", "reason": "elbows crack", "confirm": object{"password": Password}}
		other := object{"id": in["id"], "lot": "SP-0214", "reason": "too soft", "confirm": in["confirm"]}
		run, told := object{"id": models.NewID()}, object{"id": models.NewID(), "item": wheel, "response": "notified"}
		s.Run(t, []Row{
			sent("what it reaches", Inspector, "/recalls/preview", object{"lot": "SP-0214"}, http.StatusOK, `"shipped":1`, `"here":0`, wheel),
			sent("its code in small letters", Inspector, "/recalls/preview", object{"lot": "sp-0214"}, http.StatusOK, `"shipped":1`, wheel),
			{Name: "the lot of it alone", Who: Inspector, Path: api.Base + "/lots?code=sp-0214", Status: http.StatusOK, Has: []string{`"code":"SP-0214"`}},
			sent("a hold says how it is written", Inspector, "/holds", object{"lot": "sp-0214", "code": "W08", "reason": "elbows crack"}, http.StatusCreated, `"lot":"SP-0214"`),
			{Name: "looking stops nothing", Who: Inspector, Path: api.Base + "/recalls", Status: http.StatusOK, Has: []string{`"recalls":[]`}},
			sent("every bad field", Inspector, "/recalls", object{"id": "7", "instrument": "D-1", "from": "May", "confirm": in["confirm"]}, http.StatusUnprocessableEntity, `"field":"id"`, `"field":"from"`, `"field":"reason"`),
			sent("a field nobody knows", Inspector, "/recalls", object{"lot": "SP-0214", "reason": "r", "cause": "x"}, http.StatusUnprocessableEntity, `"field":"cause","code":"unknown_field"`),
			sent("without the secret", InspectorAtStand, "/recalls", object{"lot": "SP-0214", "reason": "r"}, http.StatusUnprocessableEntity, `"confirm`),
			sent("made", Inspector, "/recalls", in, http.StatusCreated, `"number":"R31-00001"`, `"scope":{"lot":"SP-0214"}`, `"called":1`, `"state":"recalled"`, `"number":"`+box.number+`"`),
			sent("sent again", Inspector, "/recalls", in, http.StatusCreated, `"number":"R31-00001"`, `"n":1`),
			sent("another under its id", Inspector, "/recalls", other, http.StatusConflict),
			sent("searched again", Inspector, path+"/runs", run, http.StatusCreated, `"n":2`),
			func() Row {
				row := sent("and sent again", Inspector, path+"/runs", run, http.StatusCreated, `"n":2`)
				row.HasNot = []string{`"n":3`}
				return row
			}(),
			sent("told", Desk, path+"/responses", told, http.StatusCreated, `"notified":1`),
			sent("not one of the answers", Desk, path+"/responses", object{"item": wheel, "response": "shouted"}, http.StatusUnprocessableEntity, `"field":"response"`),
			sent("another item", Desk, path+"/responses", object{"item": s.Serial[models.KindPack], "response": "notified"}, http.StatusUnprocessableEntity, `"code":"not_in_recall"`),
			{Name: "the recall names nobody", Who: Desk, Path: api.Base + path, Status: http.StatusOK, Has: []string{`"response":"notified"`}, HasNot: []string{"Ada Brenn", box.customer}},
			{Name: "whom it went to", Who: Desk, Path: api.Base + path + "/contacts", Status: http.StatusOK, Has: []string{`"name":"Ada Brenn"`, `"address":"Quay 4\n9921 Sundhavn"`, `"order":"4471"`}},
			{Name: "not at a tablet", Who: InspectorAtStand, Path: api.Base + path + "/contacts", Status: http.StatusForbidden, HasNot: []string{"Ada"}},
			sent("closed", Inspector, path+"/end", object{"reason": "put right"}, http.StatusOK, `"ended_by":"The inspector"`),
			sent("closed is closed", Inspector, path+"/end", object{"reason": "again"}, http.StatusConflict, `"code":"recall_ended"`),
			{Name: "no such recall", Who: Desk, Path: api.Base + "/recalls/R31-99999", Status: http.StatusNotFound},
		})
		looks, err := s.Store.LooksAt(t.Context(), box.customer, 9)
		s.Must(err)
		if len(looks) != 1 || looks[0].PersonID != s.People[Desk].ID || looks[0].Reason != "recall R31-00001" {
			t.Errorf("the look at a customer was recorded as %+v", looks)
		}
		_, err = s.App.Services.Shipping.EraseCustomer(t.Context(), s.Shop.Owner, box.customer)
		s.Must(err)
		s.Run(t, []Row{{Name: "erased since", Who: Desk, Path: api.Base + path + "/contacts", Status: http.StatusOK, Has: []string{`"order":"4471"`}, HasNot: []string{"customer", "Quay"}}})
	})
}

// A claim by the interface: older than the log, named later, decided, closed.
func TestAClaimByAProgram(t *testing.T) {
	Each(t, func(t *testing.T, s *Shop) {
		box, wheel, path := s.kitted(t), s.Serial[models.KindWheel], "/claims/CL31-00001"
		other := *s.AnotherWheel().Serial
		in := object{"id": models.NewID(), "motor": "OR4-60418", "kind": "wheel", "words": "it grinds", "came_on": "2031-05-10", "customer": box.customer}
		decided := object{"symptom": "spoke_broken", "yes": []string{"flange_worn"}, "decision": "accept", "reason": "no sign of a blow", "amount": "34,20", "currency": "€", "close": true}
		s.Run(t, []Row{
			sent("every bad field", Desk, "/claims", object{"id": "7", "kind": "kit", "motor": "x", "came_on": "2031-05-13", "customer": "Ada Brenn"}, http.StatusUnprocessableEntity,
				`"field":"id"`, `"field":"kind"`, `"field":"came_on","code":"came_later"`, `"field":"customer"`, `"field":"words"`),
			sent("an operator opens none", Operator, "/claims", in, http.StatusForbidden),
			sent("opened", Desk, "/claims", in, http.StatusCreated, `"number":"CL31-00001"`, `"state":"open"`, `"words":"it grinds"`, `"customer":"`+box.customer+`"`),
			sent("sent again", Desk, "/claims", in, http.StatusCreated, `"number":"CL31-00001"`),
			sent("another under its id", Desk, "/claims", object{"id": in["id"], "item": wheel, "words": "it grinds"}, http.StatusConflict),
			{Name: "one waits", Who: Operator, Path: api.Base + "/claims", Status: http.StatusOK, Has: []string{`"motor":"OR4-60418"`}, HasNot: []string{"CL31-00002", box.customer}},
			{Name: "an operator sees no customer", Who: Operator, Path: api.Base + path, Status: http.StatusOK, Has: []string{"it grinds"}, HasNot: []string{box.customer, "warranty"}},
			sent("a serial with a slip", Desk, path, object{"item": wheel[:8] + "2"}, http.StatusUnprocessableEntity, `"field":"item","code":"serial_check"`),
			sent("named", Desk, path, object{"item": wheel}, http.StatusOK, `"serial":"`+wheel+`"`, `"in_time":true`, `"until":"2033-05-12"`, `"hold_id"`),
			sent("named again", Desk, path, object{"item": wheel}, http.StatusOK),
			sent("another one for no reason", Desk, path, object{"item": other}, http.StatusUnprocessableEntity, `"field":"moved","code":"claim_moved_why"`),
			sent("another one", Desk, path, object{"item": other, "moved": "the other label"}, http.StatusOK, `"serial":"`+other+`"`, `"reason":"the other label"`),
			sent("and back", Desk, path, object{"item": wheel, "moved": "it was right", "spot": "14"}, http.StatusOK, `"serial":"`+wheel+`"`, `"spot":"14"`),
			{Name: "by its item", Who: Desk, Path: api.Base + "/claims?item=" + wheel, Status: http.StatusOK, Has: []string{"CL31-00001"}},
			{Name: "by its motor", Who: Desk, Path: api.Base + "/claims?find=or4-60418", Status: http.StatusOK, Has: []string{"CL31-00001"}},
			{Name: "by both", Who: Desk, Path: api.Base + "/claims?find=x&item=" + wheel, Status: http.StatusUnprocessableEntity},
			{Name: "by an item nobody has", Who: Desk, Path: api.Base + "/claims?item=" + s.unknownSerial(), Status: http.StatusNotFound},
			sent("a revision nobody made", Desk, path, object{"symptom": "spoke_broken", "check_list": 3}, http.StatusUnprocessableEntity, `"field":"check_list"`),
			sent("a question of no list", Desk, path, object{"symptom": "spoke_broken", "yes": []string{"case_bulges"}}, http.StatusUnprocessableEntity, `"field":"yes[0]"`),
			sent("answers to no list", Desk, path, object{"yes": []string{"flange_worn"}}, http.StatusUnprocessableEntity, `"field":"symptom"`),
			sent("decided and closed", Desk, path, decided, http.StatusOK, `"code":"W17"`, `"decision":"accept"`, `"amount":"34.20"`, `"state":"closed"`),
			sent("sent again", Desk, path, decided, http.StatusOK, `"state":"closed"`),
			sent("closed is closed", Desk, path, object{"decision": "reject", "reason": "r"}, http.StatusConflict, `"code":"claim_closed"`),
			{Name: "a photo", Who: Desk, Method: http.MethodPost, Path: api.Base + path + "/photos?name=spoke.png", Body: dot(t), Status: http.StatusCreated, Has: []string{`"of":"claim"`, `"media_type":"image/png"`}},
			{Name: "a page that says it is a paper", Who: Desk, Method: http.MethodPost, Path: api.Base + path + "/photos", Body: []byte("<html>"), Header: map[string]string{"Content-Type": "application/pdf"}, Status: http.StatusUnprocessableEntity},
			{Name: "larger than any photo", Who: Desk, Method: http.MethodPost, Path: api.Base + path + "/photos", Body: bytes.Repeat([]byte{0xff}, 21<<20), Status: http.StatusUnprocessableEntity, Has: []string{"20 MB"}},
			func() Row { // Whoever may not see customers names none.
				row := sent("by an inspector", Inspector, "/claims", object{"item": wheel, "words": "it ticks", "customer": box.customer}, http.StatusCreated, "CL31-00002")
				row.After = func(t *testing.T, _ http.Header, _ []byte) {
					if v, err := s.App.Services.Claims.Claim(t.Context(), "CL31-00002"); err != nil || v.Customer != "" {
						t.Errorf("the claim of an inspector names %q, %v", v.Customer, err)
					}
				}
				return row
			}(),
			sent("the words erased at a tablet", InspectorAtStand, path+"/erase", object{}, http.StatusForbidden),
			func() Row {
				row := sent("the words erased", Desk, path+"/erase", object{"confirm": object{"password": Password}}, http.StatusOK, `"decision":"accept"`)
				row.HasNot = []string{"grinds"}
				return row
			}(),
		})
	})
}

// Customers by the interface: each look is written down, and nobody but the desk
// and the owner gets one, in the office alone.
func TestCustomersByAProgram(t *testing.T) {
	Each(t, func(t *testing.T, s *Shop) {
		id := models.NewRandomID()
		from, err := models.Customer{ID: id, Name: "Ada Brenn", Email: "ada@example.org"}.Digest()
		s.Must(err)
		in, path := object{"id": id, "name": "Ada Brenn", "email": "ada@example.org"}, api.Base+"/customers/"+id
		s.Run(t, []Row{
			sent("every bad field", Desk, "/customers", object{"id": models.NewID(), "name": " "}, http.StatusUnprocessableEntity, `"field":"id","code":"bad_random_id"`, `"field":"name"`),
			sent("added", Desk, "/customers", in, http.StatusCreated, id),
			sent("sent again", Desk, "/customers", in, http.StatusCreated, id),
			sent("another under its id", Desk, "/customers", object{"id": id, "name": "Bo Arne"}, http.StatusConflict),
			{Name: "found", Who: Desk, Path: api.Base + "/customers?find=ADA%40", Status: http.StatusOK, Has: []string{"Ada Brenn"}},
			{Name: "not listed unasked", Who: Desk, Path: api.Base + "/customers", Status: http.StatusUnprocessableEntity, Has: []string{`"field":"find"`}},
			{Name: "nor for an inspector", Who: Inspector, Path: api.Base + "/customers?find=brenn", Status: http.StatusForbidden, HasNot: []string{"Ada"}},
			{Name: "put right", Who: Desk, Method: http.MethodPut, Path: path, Body: object{"from": from, "name": "Ada Brenn", "phone": "555 0142"}, Status: http.StatusOK, Has: []string{"555 0142"}, HasNot: []string{"ada@"}},
			{Name: "read", Who: Owner, Path: path + "?reason=asked+for+a+number", Status: http.StatusOK, Has: []string{"555 0142", `"person":"The owner","reason":"asked for a number"`, `"person":"The desk"`}},
			{Name: "nobody of that key", Who: Desk, Method: http.MethodPut, Path: api.Base + "/customers/" + models.NewRandomID(), Body: object{"name": "Bo"}, Status: http.StatusNotFound},
			{Name: "erased", Who: Desk, Method: http.MethodPost, Path: path + "/erase", Body: object{"confirm": object{"password": Password}}, Status: http.StatusOK, Has: []string{"erased_at"}},
			{Name: "gone", Who: Desk, Path: path, Status: http.StatusNotFound},
		})
		s.Must(s.Store.SetSetting(t.Context(), models.NewStamp(s.Shop.Owner, s.Now), models.SettingLookReason, "yes"))
		s.Run(t, []Row{
			sent("another", Desk, "/customers", object{"name": "Bo Arne"}, http.StatusCreated),
			{Name: "no look without a reason", Who: Desk, Path: api.Base + "/customers?find=arne", Status: http.StatusUnprocessableEntity, Has: []string{`"code":"reason_needed"`}, HasNot: []string{"Bo"}},
		})
	})
}
