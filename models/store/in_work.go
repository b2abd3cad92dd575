package store

import (
	"context"
	"time"

	"tracewright/models"
)

// inWork lists wheels and packs that are in the house, through the partial index
// of these states: it does not grow with history.
const inWork = `SELECT CAST(i.id AS text), coalesce(i.serial, ''), i.kind, CAST(i.product_id AS text), i.state, i.created_at,
	(SELECT n.measured_at FROM inspections AS n WHERE n.item_id = i.id AND n.superseded_by IS NULL ORDER BY n.measured_at DESC LIMIT 1),
	(SELECT c.started_at FROM charges AS c WHERE c.item_id = i.id AND NOT EXISTS (SELECT 1 FROM charge_ends AS e WHERE e.charge_id = c.id) ORDER BY c.started_at DESC LIMIT 1),
	(SELECT e.ended_at FROM charges AS c JOIN charge_ends AS e ON e.charge_id = c.id WHERE c.item_id = i.id ORDER BY e.ended_at DESC LIMIT 1),
	(SELECT c.started_at FROM charges AS c WHERE c.item_id = i.id AND c.kind <> 'load' ORDER BY c.started_at DESC LIMIT 1),
	CASE WHEN coalesce(` + inKitNow + `, ?) = ? THEN 0 ELSE 1 END
	FROM items AS i WHERE ` + inHouse + `
	ORDER BY i.created_at, i.id LIMIT ?`

const inHouse = `i.state IN ('in_process', 'conforming', 'held', 'concession_pending', 'conceded', 'rework', 'repair', 'reinspect', 'scrap_pending', 'return_pending', 'released') AND i.product_id IS NOT NULL AND i.kind IN ('wheel', 'pack')`

// InWork lists the wheels and packs that are in the house, the oldest first, at
// most limit.
func (s *Store) InWork(ctx context.Context, limit int) ([]models.InWork, error) {
	var list []models.InWork
	at := map[string]int{}
	err := s.ask(ctx, question{inWork, []any{false, false, limit}, func(scan func(...any) error) error {
		var w models.InWork
		var inKit int
		if err := scan(&w.ItemID, &w.Serial, &w.Kind, &w.ProductID, &w.State, &w.MadeAt, &w.Read, &w.OnCharge, &w.Charged, &w.Recharged, &inKit); err != nil {
			return err
		}
		for _, at := range []*time.Time{&w.MadeAt, w.Read, w.OnCharge, w.Charged, w.Recharged} {
			if at != nil {
				*at = at.UTC()
			}
		}
		w.InKit = inKit == 1
		at[w.ItemID] = len(list)
		list = append(list, w)
		return nil
	}}, question{heldSince, nil, func(scan func(...any) error) error {
		var id string
		var since time.Time
		if err := scan(&id, &since); err != nil {
			return err
		}
		if i, known := at[id]; known && (list[i].Held == nil || since.Before(*list[i].Held)) {
			since = since.UTC()
			list[i].Held = &since
		}
		return nil
	}}, s.dischargesOf(discharges, `SELECT i.id FROM items AS i WHERE `+inHouse, nil, func(d models.ChargeView) {
		i, known := at[d.ItemID]
		if !known {
			return
		}
		w, recharged := &list[i], time.Time{}
		if w.Recharged != nil {
			recharged = *w.Recharged
		}
		if end := d.End.EndedAt; models.Emptied(&d, recharged) && (w.Emptied == nil || end.After(*w.Emptied)) {
			w.Emptied = &end
		}
	}))
	return list, fault(err, "list what is in work")
}
