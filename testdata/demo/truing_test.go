package demo

import (
	"path/filepath"
	"testing"
	"time"

	"tracewright/models"
	"tracewright/models/store"
	"tracewright/models/work/truing"
)

// The wheels that wait for truing on the last evening have turn lists; the one
// whose product has none says what it lacks.
func TestWheelsWaitForTheirTurnLists(t *testing.T) {
	folder := t.TempDir()
	s := invent(t, folder, Options{Seed: 4, Wheels: 60, Packs: 25})
	t.Cleanup(func() { s.db.Close() })
	waiting := s.rows(t, `SELECT i.id, i.person_id FROM inspections AS i WHERE i.verdict = 'fail' AND i.superseded_by IS NULL
		AND NOT EXISTS (SELECT 1 FROM inspections AS later WHERE later.item_id = i.item_id AND later.measured_at > i.measured_at)
		AND 4 = (SELECT count(*) FROM reading_sets AS r WHERE r.inspection_id = i.id AND r.method = 'every_hole')`)
	db, err := store.Open(t.Context(), "sqlite:"+filepath.Join(folder, "shop.db"), store.Options{})
	if err != nil {
		t.Fatal(err)
	}
	defer db.Close()
	states := map[truing.State]int{}
	lists := truing.New(db, testDayClock)
	for _, w := range waiting {
		sheet, _, err := lists.Make(t.Context(), models.Actor{PersonID: w[1]}, w[0], 0)
		if err != nil {
			t.Fatal(err)
		}
		states[sheet.State]++
		switch sheet.State {
		case truing.Missing:
			if sheet.Product.Name != withoutTurnList || sheet.Missing[0].Code != "rim_section" {
				t.Errorf("%s lacks %v", sheet.Product.Name, sheet.Missing)
			}
		case truing.Ready:
			if !(sheet.Plan.All.After.LateralTIR < sheet.Plan.Before.LateralTIR) || sheet.Plan.All.Highest > sheet.Plan.Limits.Ceiling {
				t.Errorf("%s: lateral from %.2f to %.2f, tension up to %.0f", sheet.Product.Name, sheet.Plan.Before.LateralTIR, sheet.Plan.All.After.LateralTIR, sheet.Plan.All.Highest)
			}
		default:
			t.Errorf("%s is %s", sheet.Product.Name, sheet.State)
		}
	}
	if states[truing.Ready] < 2 || states[truing.Missing] < 1 {
		t.Errorf("waiting wheels: %v", states)
	}
}

func testDayClock() time.Time { return testDay }
