package servertest

import (
	"fmt"
	"net/http"
	"testing"

	"tracewright/models"
)

// listOf is the path of an inspection's turn list.
func listOf(inspection string) string { return "/api/v1/inspections/" + inspection + "/turns" }

// tick is the row that ticks one turn off, or takes it back.
func tick(who, inspection, list string, n any, turned bool) Row {
	return Row{Who: who, Method: http.MethodPut, Path: fmt.Sprintf("%s/%s/%v", listOf(inspection), list, n), Body: object{"turned": turned}}
}

func (r Row) must(name string, status int, has ...string) Row {
	r.Name, r.Status, r.Has = name, status, has
	return r
}

// From readings out of true to a good wheel: the list, its ticks, and what the
// next readings say.
func TestATurnListIsWorkedOff(t *testing.T) {
	Each(t, func(t *testing.T, s *Shop) {
		w := s.atTheStand(turningForm(36), wobbly(1.6))
		first := w.read()
		id := first.ID
		make := Row{Who: OperatorAtStand, Method: http.MethodPost, Path: listOf(id), Body: object{}}
		look := Row{Who: Desk, Path: listOf(id)}
		var list turns
		keep := make.must("made", http.StatusCreated, `"state":"ready"`, `"begun":""`, `"largest_turn":0.5`, `"rounds":0`, `"ceiling":1282.5`, `"honest":"Stiffness is assumed`, `"rim_not_builder":[]`)
		keep.After = func(t *testing.T, h http.Header, body []byte) {
			list = Decode[turns](t, body)
			if len(list.Short.Turns) < 3 || h.Get("Location") != listOf(id) {
				t.Errorf("%d turns, at %s", len(list.Short.Turns), h.Get("Location"))
			}
		}
		none := make
		none.Body = nil
		other := make
		other.Body = object{"short": 5}
		wrong := make
		wrong.Body = object{"short": 40}
		zero := make
		zero.Body = object{"short": 0}
		odd := make
		odd.Body = object{"nipples": 3}
		desk := make
		desk.Who = Desk
		empty := tick(OperatorAtStand, id, "short", 1, true)
		empty.Body = object{}
		nobody := tick(Desk, id, "short", 1, true)
		colleague := s.People[SecondAtOtherSide]
		late := tick(OperatorAtStand, id, "all", 2, true)
		late.Body = object{"turned": true, "at": "2030-01-01T08:00:00.000Z", "sent_at": "2030-01-01T08:00:00.250Z", "person": colleague.ID}
		clockless := tick(OperatorAtStand, id, "all", 2, true)
		clockless.Body = object{"turned": true, "at": "2030-01-01T08:00:00.000Z"}
		named := tick(Inspector, id, "all", 2, true)
		named.Body = object{"turned": true, "person": colleague.ID}
		stranger := tick(OperatorAtStand, id, "all", 2, true)
		stranger.Body = object{"turned": true, "person": s.People[Desk].ID}
		s.Run(t, []Row{
			{Name: "read", Who: OperatorAtStand, Path: "/api/v1/inspections", Body: first, Status: http.StatusCreated, Has: []string{`"verdict":"fail"`}},
			look.must("nothing is made by itself", http.StatusNotFound),
			wrong.must("forty nipples", http.StatusUnprocessableEntity, `"short"`, `"out_of_bounds"`, "Must be 4 to 24."),
			zero.must("no nipple at all", http.StatusUnprocessableEntity, `"short"`, `"out_of_bounds"`),
			odd.must("a field nobody knows", http.StatusUnprocessableEntity, `"unknown_field"`),
			desk.must("the desk makes none", http.StatusForbidden),
			keep,
			none.must("asked again, it is the same", http.StatusOK, `"state":"ready"`),
			look.must("the desk may look", http.StatusOK, `"state":"ready"`, `"lean":"`),
			other.must("with five nipples, while nothing is turned", http.StatusCreated, `"nipples":5`),
			make.must("and asked for nothing in particular, it stays", http.StatusOK, `"nipples":5`),
			tick(OperatorAtStand, id, "short", 1, true).must("a turn", http.StatusOK, `"begun":"short"`, `"turned":true,"turned_by":"The operator"`),
			tick(SecondAtOtherSide, id, "short", 1, true).must("again, by another: nothing changes", http.StatusOK, `"turned_by":"The operator"`),
			tick(OperatorAtStand, id, "all", 1, true).must("the other list is closed", http.StatusConflict, `"other_list_begun"`),
			other.must("five again is what there is", http.StatusOK, `"nipples":5`),
			Row{Who: OperatorAtStand, Method: http.MethodPost, Path: listOf(id), Body: object{"short": 9}}.must("nine, with one turned", http.StatusConflict, `"turns_begun"`),
			tick(OperatorAtStand, id, "short", 1, false).must("taken back", http.StatusOK, `"begun":""`, `"turned":false`),
			tick(OperatorAtStand, id, "all", 1, true).must("now the other may begin", http.StatusOK, `"begun":"all"`),
			clockless.must("when, but not by which clock", http.StatusUnprocessableEntity, `"sent_at"`, `"missing"`),
			named.must("another's turn outside a tablet", http.StatusForbidden),
			stranger.must("a turn of one who does not record", http.StatusUnprocessableEntity, `"unknown_person"`),
			late.must("sent later, for another", http.StatusOK, `"turned":true,"turned_by":"`+colleague.Name+`"`),
			tick(OperatorAtStand, id, "all", 2, false).must("that one is taken back", http.StatusOK, `"begun":"all"`),
			tick(OperatorAtStand, id, "all", 1, false).must("and be taken back", http.StatusOK, `"begun":""`),
			tick(OperatorAtStand, id, "short", 99, true).must("a turn that is not in it", http.StatusNotFound),
			tick(OperatorAtStand, id, "short", "one", true).must("a turn that is no number", http.StatusNotFound),
			tick(OperatorAtStand, id, "some", 1, true).must("a list that is none", http.StatusNotFound),
			empty.must("neither turned nor not", http.StatusUnprocessableEntity, `"turned"`, `"missing"`),
			nobody.must("the desk turns nothing", http.StatusForbidden),
		})
		status, _, body := s.Do(t, Row{Who: OperatorAtStand, Path: listOf(id)})
		list = Decode[turns](t, body)
		if status != http.StatusOK || len(list.Short.Turns) == 0 {
			t.Fatalf("status %d: %s", status, shortened(body))
		}
		for n := range list.Short.Turns {
			s.run(t, tick(OperatorAtStand, id, "short", n+1, true).must("", http.StatusOK))
		}
		w.turn(list.sum(36, 0))
		second := w.read()
		s.Run(t, []Row{
			{Name: "read again", Who: OperatorAtStand, Path: "/api/v1/inspections", Body: second, Status: http.StatusCreated},
			Row{Who: OperatorAtStand, Method: http.MethodPost, Path: listOf(second.ID)}.must("it did what it was to", http.StatusCreated, `"after":{"of":"`+id+`"`, `"list":"short"`, `"told":true`),
			tick(OperatorAtStand, id, "short", 1, false).must("the first list is closed", http.StatusConflict, `"turns_closed"`),
			look.must("and still there to be read", http.StatusOK, `"begun":"short"`),
		})
	})
}

// What keeps a list from being made is said, with the way to mend it.
func TestATurnListSaysWhatItLacks(t *testing.T) {
	Each(t, func(t *testing.T, s *Shop) {
		bare := turningForm(36)
		bare.Wheel.Geometry, bare.Wheel.Truing, bare.Wheel.RimMaxTension = nil, nil, ""
		without := s.atTheStand(bare, wobbly(1))
		quick := s.atTheStand(turningForm(36), nil)
		extremes := s.Extremes()
		extremes.Serial = quick.serial
		slack := s.atTheStand(turningForm(36), func(w *turning) { w.tension[3], w.tension[6] = 40, 100 })
		low := turningForm(36)
		low.Wheel.RimMaxTension = "900"
		tight := s.atTheStand(low, wobbly(1))
		good := s.atTheStand(turningForm(36), nil)
		post := func(sub models.Submission) Row {
			return Row{Who: OperatorAtStand, Path: "/api/v1/inspections", Body: sub, Status: http.StatusCreated, Name: "read"}
		}
		make := func(sub models.Submission) Row {
			return Row{Who: OperatorAtStand, Method: http.MethodPost, Path: listOf(sub.ID)}
		}
		a, b, c, d := without.read(), slack.read(), tight.read(), good.read()
		pack := s.Pack()
		s.Run(t, []Row{
			post(a), make(a).must("a product without geometry", http.StatusOK, `"state":"missing"`, `"code":"geometry"`, `"code":"rim_section"`, `"code":"rim_max_tension"`, `"href":"/products/`+without.product.ID+`/revise"`),
			post(extremes), make(extremes).must("read by extremes", http.StatusOK, `"state":"missing"`, `"lateral_every_hole"`, `"radial_every_hole"`, `"tension_a_every_hole"`, `"tension_b_every_hole"`),
			post(b), make(b).must("slack spokes", http.StatusOK, `"state":"slack"`, `"spokes":[3,6]`, "equal thread depth"),
			post(c), make(c).must("a rim that allows less than is there", http.StatusCreated, `"take_tension_out":true`, `"targets_lowered":true`),
			post(d), make(d).must("a wheel that is good", http.StatusOK, `"state":"nothing"`),
			post(pack), make(pack).must("a pack has none", http.StatusNotFound),
			make(models.Submission{ID: models.NewID()}).must("an inspection that never was", http.StatusNotFound),
			make(models.Submission{ID: "x"}).must("nor one with a key like that", http.StatusNotFound),
		})
	})
}

// A mistake stops the work and the release until somebody says what happened.
func TestAContradictionStopsTheRelease(t *testing.T) {
	Each(t, func(t *testing.T, s *Shop) {
		w := s.atTheStand(turningForm(36), wobbly(1.6))
		first := w.read()
		s.run(t, Row{Who: OperatorAtStand, Path: "/api/v1/inspections", Body: first, Status: http.StatusCreated})
		s.run(t, Row{Who: OperatorAtStand, Method: http.MethodPost, Path: listOf(first.ID), Body: object{"short": 12}, Status: http.StatusCreated})
		_, _, body := s.Do(t, Row{Who: OperatorAtStand, Path: listOf(first.ID)})
		list := Decode[turns](t, body)
		for n := range list.Short.Turns {
			s.run(t, tick(OperatorAtStand, first.ID, "short", n+1, true).must("", http.StatusOK))
		}
		w.turn(list.sum(36, 1)) // Each on the spoke next to it.
		second := w.read()
		cause := func(name, who string, body object, status int, has ...string) Row {
			return Row{Name: name, Who: who, Path: listOf(second.ID) + "/cause", Body: body, Status: status, Has: has}
		}
		look := Row{Who: Desk, Path: listOf(second.ID)}
		item := Row{Who: Desk, Path: "/api/v1/items/" + w.serial}
		page := Row{Who: Operator, Path: "/items/" + w.serial}
		s.Run(t, []Row{
			{Name: "the readings are stored, contradict or not", Who: OperatorAtStand, Path: "/api/v1/inspections", Body: second, Status: http.StatusCreated},
			{Name: "sent again they are the same", Who: OperatorAtStand, Path: "/api/v1/inspections", Body: second, Status: http.StatusOK},
			look.must("it is a stop, with its ways on", http.StatusOK, `"state":"stop"`, `"cause":"wrong_side"`, `"title":"Turned on the wrong side"`, `"best":true`, `"cause":"not_sure"`, "Lateral was to fall from"),
			Row{Who: OperatorAtStand, Method: http.MethodPost, Path: listOf(second.ID)}.must("no list is made", http.StatusOK, `"state":"stop"`),
			tick(OperatorAtStand, second.ID, "short", 1, true).must("nothing is turned", http.StatusNotFound),
			item.must("the item says why it is kept back", http.StatusOK, `"stop_unanswered"`, "nobody has said what happened"),
			certify(w.serial, "", PIN).by(OperatorAtStand).must("and is not certified", http.StatusConflict, `"stop_unanswered"`),
			page.must("the page says it too", http.StatusOK, "nobody has said what happened"),
			cause("a cause that is none", OperatorAtStand, object{"cause": "weather"}, http.StatusUnprocessableEntity, `"cause"`, `"unknown_cause"`, "weather"),
			cause("no cause", OperatorAtStand, object{}, http.StatusUnprocessableEntity, `"cause"`, `"missing"`),
			cause("the desk was not there", Desk, object{"cause": "wrong_side"}, http.StatusForbidden),
			cause("not sure: what to read again", OperatorAtStand, object{"cause": "not_sure"}, http.StatusOK, `"state":"missing"`, `"read_spokes_again"`, `"answered":{"cause":"not_sure","person":"The operator"`),
			item.must("which keeps it back still", http.StatusOK, `"readings_to_repeat"`),
			cause("it was the wrong side", OperatorAtStand, object{"cause": "wrong_side"}, http.StatusOK, `"state":"ready"`, `"answered":{"cause":"wrong_side"`, `"rounds":0`),
			cause("said again, nothing changes", OperatorAtStand, object{"cause": "wrong_side"}, http.StatusOK, `"state":"ready"`),
			cause("it cannot be said otherwise now", OperatorAtStand, object{"cause": "other_flank"}, http.StatusConflict, `"stop_settled"`),
			noStop(item).must("and it goes on", http.StatusOK),
			look.must("with a new list", http.StatusOK, `"state":"ready"`, `"begun":""`),
		})
	})
}

// by says who sends a row.
func (r Row) by(who string) Row {
	r.Who = who
	return r
}

// noStop is a row whose answer names no stop.
func noStop(r Row) Row {
	r.HasNot = []string{"stop_unanswered", "readings_to_repeat"}
	return r
}

// The item says in how many rounds and minutes it first passed, unasked.
func TestTheItemSaysWhatItTook(t *testing.T) {
	Each(t, func(t *testing.T, s *Shop) {
		bad, good := s.Extremes(), s.Extremes()
		bad.Sets[0].Values = []string{"0.40", "-0.09"}
		bad.StartedAt, bad.FinishedAt = s.Now.Add(-40*60e9), s.Now.Add(-34*60e9)   // six minutes,
		good.StartedAt, good.FinishedAt = s.Now.Add(-20*60e9), s.Now.Add(-12*60e9) // fourteen of turning, eight more
		serial := s.Serial[models.KindWheel]
		item := Row{Who: Desk, Path: "/api/v1/items/" + serial}
		page := Row{Who: Operator, Path: "/items/" + serial}
		passed := `"first_pass":{"inspection":"` + good.ID + `","rounds":2,"minutes":28}`
		noPass := item
		noPass.HasNot = []string{"first_pass"}
		s.Run(t, []Row{
			{Name: "a wheel that fails", Who: OperatorAtStand, Path: "/api/v1/inspections", Body: bad, Status: http.StatusCreated},
			noPass.must("took nothing yet", http.StatusOK),
			{Name: "trued", Who: OperatorAtStand, Path: "/api/v1/inspections", Body: good, Status: http.StatusCreated},
			item.must("took two rounds", http.StatusOK, passed),
			page.must("on its page in one line", http.StatusOK, "2 rounds, 28 minutes"),
		})
	})
}
