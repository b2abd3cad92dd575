package studies_test

import (
	"testing"

	"tracewright/models"
	"tracewright/models/store/storetest"
	"tracewright/models/work/studies"
	"tracewright/models/work/worktest"
)

func TestMain(m *testing.M) { storetest.Main(m) }

// lab is the small shop with three who measure and one who plans.
type lab struct {
	*worktest.Shop
	*studies.Service
	inspector models.Actor
	measure   []models.Actor
	family    string
}

func newLab(t *testing.T, h *worktest.Shop) *lab {
	t.Helper()
	l := &lab{Shop: h, Service: studies.New(h.Store, h.Clock), family: *h.Item[models.KindWheel].FamilyID}
	add := func(name string, role models.Role) models.Actor {
		p := models.Person{ID: models.NewID(), Name: name, Role: role, Active: true}
		h.Must(h.Store.AddPerson(t.Context(), models.NewStamp(h.Owner, h.Now), p))
		return models.Actor{PersonID: p.ID, Name: name, Role: role}
	}
	l.inspector = add("Ines", models.Inspector)
	l.measure = []models.Actor{add("Ada", models.Operator), add("Ben", models.Operator), add("Cem", models.Operator)}
	return l
}

func (l *lab) persons() []string {
	out := make([]string, len(l.measure))
	for i, a := range l.measure {
		out[i] = a.PersonID
	}
	return out
}

// planned plans a study and returns its number.
func (l *lab) planned(t *testing.T, in studies.Plan) studies.View {
	t.Helper()
	if in.FamilyID == "" {
		in.FamilyID = l.family
	}
	if in.Result == "" {
		in.Result, in.Instrument = "lateral_tir", "D-1"
	}
	v, err := l.Plan(t.Context(), l.inspector, in)
	l.Must(err)
	return v
}

// read enters every turn: value says what the gauge shows of an item to a person
// for the how-manyth time.
func (l *lab) read(t *testing.T, v studies.View, value func(turn models.StudyTurn) string) {
	t.Helper()
	for i, turn := range v.Study.Turns {
		who := v.Study.Persons[max(0, turn.Person)]
		l.Must(l.Enter(t.Context(), l.inspector, v.Study.Number, studies.Entry{ID: models.NewID(), Turn: i, PersonID: who, Typed: value(turn)}))
	}
}
