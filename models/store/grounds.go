package store

import (
	"context"
	"crypto/sha256"
	"database/sql"
	"encoding/hex"
	"fmt"
	"slices"
	"strings"

	"gorm.io/gorm"

	"tracewright/models"
)

// groundsWithin lists by their keys what an item is released or shipped on: its
// inspections that stand, with turns made, the stops at them and answers given since;
// what is in it and was taken out, with what was decided about that, charged and
// discharged; the open holds and stopped lots that reach it; what was decided about the
// item; its certificate in force; and, of a kit, what was packed.
var groundsWithin = asWithin(`SELECT 'i' || CAST(id AS text) FROM inspections WHERE item_id = @from AND superseded_by IS NULL
	UNION ALL SELECT 't' || CAST(d.id AS text) FROM turn_lists AS l CROSS JOIN turn_dones AS d WHERE l.item_id = @from AND d.turn_list_id = l.id
	UNION ALL SELECT 'a' || CAST(a.id AS text) FROM inspections AS i CROSS JOIN turn_answers AS a WHERE i.item_id = @from AND a.inspection_id = i.id
	UNION ALL SELECT 'r' || CAST(r.inspection_id AS text) FROM inspections AS i CROSS JOIN turn_rounds AS r WHERE i.item_id = @from AND i.superseded_by IS NULL AND r.inspection_id = i.id AND r.stop
	UNION ALL SELECT 'p' || CAST(f.id AS text) || ' ' || CAST(f.taken_out AS text) FROM within CROSS JOIN fitted_parts AS f WHERE f.item_id = within.id
	UNION ALL SELECT 'd' || CAST(d.id AS text) FROM within CROSS JOIN dispositions AS d WHERE d.item_id = within.id
	UNION ALL SELECT 'c' || CAST(c.id AS text) FROM within CROSS JOIN charges AS c WHERE c.item_id = within.id
	UNION ALL SELECT 'e' || CAST(e.charge_id AS text) FROM within CROSS JOIN charges AS c CROSS JOIN charge_ends AS e WHERE c.item_id = within.id AND e.charge_id = c.id
	UNION ALL SELECT 'u' || CAST(c.id AS text) FROM within CROSS JOIN capacity_tests AS c WHERE c.item_id = within.id
	UNION ALL SELECT 'h' || CAST(id AS text) FROM holds WHERE id IN (SELECT id FROM reached) AND ` + notLifted + `
	UNION ALL SELECT 'l' || CAST(id AS text) FROM held WHERE ` + lotStopped("held.id") + `
	UNION ALL SELECT 's' || CAST(s.id AS text) FROM nonconformities AS n CROSS JOIN nonconformity_steps AS s WHERE n.item_id = @from AND s.nonconformity_id = n.id
	UNION ALL SELECT 'x' || CAST(id AS text) FROM certificates WHERE item_id = @from AND ` + inForce + `
	UNION ALL SELECT 'k' || CAST(id AS text) FROM kit_packings WHERE kit_id = @from`)

// Grounds tells of items, and of what lies in those that are kits, what a release or
// a shipment of each rests on, as a digest that is another when any of that is.
func (s *Store) Grounds(ctx context.Context, items []string) (map[string]string, error) {
	tx := s.read.WithContext(ctx)
	all, err := withContents(tx, items)
	grounds := make(map[string]string, len(all))
	for _, id := range all {
		if err == nil {
			grounds[id], err = s.groundsOf(tx, id)
		}
	}
	return grounds, fault(err, "what items rest on")
}

func (s *Store) groundsOf(tx *gorm.DB, itemID string) (string, error) {
	var keys []string
	err := tx.Raw(within+", reached(id) AS ("+holdsWithin[s.dialect]+") "+lotsWithin[s.dialect]+groundsWithin[s.dialect], sql.Named("from", itemID)).Scan(&keys).Error
	slices.Sort(keys)
	sum := sha256.Sum256([]byte(strings.Join(keys, "\n")))
	return hex.EncodeToString(sum[:]), err
}

// sameGrounds says models.ErrStale where an item rests on something else than
// was decided on; "" holds it against nothing. The item must be locked.
func (s *Store) sameGrounds(tx *gorm.DB, item models.Item, decidedOn string) error {
	if decidedOn == "" {
		return nil
	}
	now, err := s.groundsOf(tx, item.ID)
	if err == nil && now != decidedOn {
		err = fmt.Errorf("what %s rests on changed meanwhile: %w", item.Name(), models.ErrStale)
	}
	return err
}
