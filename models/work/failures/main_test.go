package failures

import (
	"context"
	"errors"
	"testing"
	"time"

	"tracewright/models"
	"tracewright/models/store/storetest"
)

func TestMain(m *testing.M) { storetest.Main(m) }

// told is a store of tallies made up for a test: one family of wheels with two
// products.
type told struct {
	models.Tallied
	settings map[string]string
	revised  []models.DefectRevision
}

func (s *told) FoldTallies(context.Context, *time.Location, int) (int, error) { return 0, nil }
func (s *told) RebuildTallies(context.Context, *time.Location, func(int, int)) error {
	return errors.New("not asked for")
}
func (s *told) Tallies(context.Context, models.TallyQuery) (models.Tallied, error) {
	return s.Tallied, nil
}
func (s *told) FirstSets(context.Context, models.FirstSetQuery) ([]models.FirstSet, int, error) {
	return []models.FirstSet{{Serial: "W26000051", PersonID: "pell"}, {Serial: "W26000069", PersonID: "vale"}}, 2, nil
}
func (s *told) Families(context.Context) ([]models.Family, error) {
	return []models.Family{{ID: "packs", Kind: models.KindPack, Name: "Packs"}, {ID: "rear", Kind: models.KindWheel, Name: "Rear"}}, nil
}
func (s *told) Products(_ context.Context, family string) ([]models.Product, error) {
	if family != "rear" {
		return nil, nil
	}
	return []models.Product{{ID: "light", FamilyID: "rear", Name: "Light"}, {ID: "heavy", FamilyID: "rear", Name: "Heavy"}}, nil
}
func (s *told) People(context.Context) ([]models.Person, error) {
	return []models.Person{{ID: "vale", Name: "Vale"}, {ID: "pell", Name: "Pell"}, {ID: "oster", Name: "Oster"}}, nil
}
func (s *told) LotsByID(_ context.Context, ids []string) ([]models.Lot, error) {
	var lots []models.Lot
	for _, id := range ids {
		lots = append(lots, models.Lot{ID: id, Code: "RM-" + id})
	}
	return lots, nil
}
func (s *told) Settings(context.Context) (map[string]string, error) { return s.settings, nil }
func (s *told) Defects(context.Context) (models.Defects, error) {
	return models.NewDefects(s.revised), nil
}

// day of the made-up shop: Wednesday.
var today = time.Date(2031, 5, 14, 12, 0, 0, 0, time.UTC)

func (s *told) service() *Service {
	return New(s, func() time.Time { return today }, func(context.Context) *time.Location { return time.UTC })
}

var owner = models.Actor{PersonID: "owner", Role: models.Owner}

func ask(t *testing.T, s *told, actor models.Actor, q Query) View {
	t.Helper()
	v, err := s.service().Ask(t.Context(), actor, q)
	if err != nil {
		t.Fatal(err)
	}
	return v
}

// set is a tally of wheels.
func set(day, product, place, person string, passed, failed int) models.Tally {
	return models.Tally{FamilyID: "rear", Day: day, Stage: models.AfterRelief, ProductID: product, Place: place, PersonID: person, Inspected: passed + failed, Passed: passed, Failed: failed}
}

func failed(code string, n int) models.DefectTally {
	return models.DefectTally{FamilyID: "rear", Day: "2031-05-12", Source: models.FromFirstSet, Code: code, Stage: models.AfterRelief, Items: n}
}
