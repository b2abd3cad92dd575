package store

import (
	"cmp"
	"context"
	"slices"

	"tracewright/models"
)

const partViews = `SELECT fitted_parts.*, coalesce(lots.code, '') AS lot_code,
	coalesce(part.maker_number, part.serial, '') AS number,
	CASE WHEN lots.id IS NOT NULL THEN lots.description ELSE coalesce(part.model, '') END AS description,
	coalesce(lots.supplier, part.supplier, '') AS supplier
FROM fitted_parts
LEFT JOIN lots ON lots.id = fitted_parts.lot_id
LEFT JOIN items AS part ON part.id = fitted_parts.part_id
WHERE `

// Parts lists what went into an item, with lots and parts named, by role and place.
func (s *Store) Parts(ctx context.Context, itemID string) ([]models.PartView, error) {
	parts, err := read[models.PartView](ctx, s, "list the parts of item "+itemID, "WITH part_views AS ("+partViews+"fitted_parts.item_id = ?) ", " ORDER BY id", itemID)
	slices.SortStableFunc(parts, func(a, b models.PartView) int {
		return cmp.Or(cmp.Compare(a.Role, b.Role), models.ComparePlaces(a.Place, b.Place))
	})
	return parts, err
}

// FittedInto lists where a part went.
func (s *Store) FittedInto(ctx context.Context, partID string) ([]models.FittedPart, error) {
	return list[models.FittedPart](ctx, s, "find where part "+partID+" went", "fitted_at, id", "part_id = ?", partID)
}
