package store

import (
	"context"
	"strings"
	"time"

	"tracewright/models"
)

const placing = `SELECT i.id, i.kind, i.serial, i.serial_tail, i.supplier, i.model, i.maker_number, i.family_id, i.product_id, i.state, i.turns_open, i.origin, i.built_on, i.created_at, i.created_by,
	f.kind, f.name, f.created_at, f.created_by, p.name, p.revision, p.created_at, p.created_by,
	(SELECT s.id FROM specifications AS s WHERE s.product_id = i.product_id ORDER BY s.revision DESC LIMIT 1),
	(SELECT s.id FROM specifications AS s WHERE s.family_id = i.family_id AND s.product_id IS NULL ORDER BY s.revision DESC LIMIT 1)
FROM items AS i LEFT JOIN families AS f ON f.id = i.family_id LEFT JOIN products AS p ON p.id = i.product_id
WHERE `

// placed is one row of the query above: an item with its family, its product,
// and the ids of the newest specifications.
type placed struct {
	item                                  models.Item
	familyKind, familyName, familyBy      *string
	familyAt                              *time.Time
	productName, productBy                *string
	productRevision                       *int
	productAt                             *time.Time
	ownSpecification, familySpecification *string
}

func (p *placed) scanned(scan func(...any) error) error {
	return scan(append(itemFields(&p.item), &p.familyKind, &p.familyName, &p.familyAt, &p.familyBy, &p.productName, &p.productRevision, &p.productAt, &p.productBy,
		&p.ownSpecification, &p.familySpecification)...)
}

// placement joins the parts that the row has.
func (p *placed) placement() models.Placement {
	m := models.Placement{Item: p.item}
	if p.item.FamilyID == nil || p.familyName == nil {
		return m
	}
	m.Family = models.Family{ID: *p.item.FamilyID, Kind: *p.familyKind, Name: *p.familyName, CreatedAt: *p.familyAt, CreatedBy: *p.familyBy}
	if p.item.ProductID != nil && p.productName != nil {
		m.Product = &models.Product{ID: *p.item.ProductID, FamilyID: m.Family.ID, Name: *p.productName, Revision: *p.productRevision,
			CreatedAt: *p.productAt, CreatedBy: *p.productBy}
	}
	return m
}

const gauging = `SELECT id, code, kind, name, place, unit, range_low, range_high, resolution, uncertainty, calibrated_on, due_on, certificate_number, state, out_note, created_at, created_by, changed_at
FROM instruments WHERE code IN (`

// How an item is named in the questions here.
const (
	bySerial = "i.serial = ?"
	byKey    = "i.id = ?"
)

// charging finds the charges of a pack or block and of the parts in it, newest
// first; %s names the item, twice.
const charging = `SELECT c.id, c.item_id, c.kind, c.charger, c.started_at, c.started_by, c.entered_at, e.ended_at, e.end_current, e.ended_by, e.entered_at
FROM charges AS c LEFT JOIN charge_ends AS e ON e.charge_id = c.id
WHERE c.item_id IN (SELECT i.id FROM items AS i WHERE %s UNION ALL
	SELECT p.part_id FROM items AS i JOIN fitted_parts AS p ON p.item_id = i.id WHERE %s AND p.part_id IS NOT NULL AND p.out_at IS NULL)
ORDER BY c.started_at DESC, c.id DESC`

// chargesReaching asks for the charges of an item, named by one of the ways
// above, and of its parts; and then for their discharges.
func (s *Store) chargesReaching(where, named string, into *[]models.ChargeView) []question {
	charged := question{strings.ReplaceAll(charging, "%s", where), []any{named, named}, func(scan func(...any) error) error {
		c, err := scannedCharge(scan)
		if err == nil {
			*into = append(*into, *c)
		}
		return err
	}}
	return []question{charged, s.dischargesOf(discharging, where, []any{named}, func(d models.ChargeView) { *into = append(*into, d) })}
}

// scannedCharge reads one row of charges with their ends.
func scannedCharge(scan func(...any) error) (*models.ChargeView, error) {
	var (
		c           models.ChargeView
		ended, kept *time.Time
		current, by *string
	)
	if err := scan(&c.ID, &c.ItemID, &c.Kind, &c.Charger, &c.StartedAt, &c.StartedBy, &c.EnteredAt, &ended, &current, &by, &kept); err != nil {
		return nil, err
	}
	c.StartedAt, c.EnteredAt = c.StartedAt.UTC(), c.EnteredAt.UTC()
	if ended != nil {
		c.End = &models.ChargeEnd{ChargeID: c.ID, EndedAt: ended.UTC(), EndCurrent: *current, EndedBy: *by, EnteredAt: kept.UTC()}
	}
	return &c, nil
}

// marks are n question marks.
func marks(n int) string { return "?" + strings.Repeat(", ?", n-1) }

// Place finds an item by its serial with everything that judges it, and the
// instruments of the codes asked for: one question, and the form and the
// specification by their keys. Only packs and blocks are charged, and their
// serials begin with P and B: of others nothing more is asked.
func (s *Store) Place(ctx context.Context, serial string, instruments []string) (models.Placement, error) {
	return s.place(ctx, bySerial, serial, strings.HasPrefix(serial, "P") || strings.HasPrefix(serial, "B"), instruments)
}

// PlaceItem is Place of an item by its key: of a block that has its maker's
// number and no serial.
func (s *Store) PlaceItem(ctx context.Context, id string, instruments []string) (models.Placement, error) {
	return s.place(ctx, byKey, id, true, instruments)
}

func (s *Store) place(ctx context.Context, where, named string, charged bool, instruments []string) (models.Placement, error) {
	var row placed
	questions := []question{{placing + where, []any{named}, row.scanned}}
	gauges := make([]models.Instrument, 0, len(instruments))
	if len(instruments) > 0 {
		codes := make([]any, len(instruments))
		for i, code := range instruments {
			codes[i] = code
		}
		questions = append(questions, question{gauging + marks(len(codes)) + ")", codes, func(scan func(...any) error) error {
			var i models.Instrument
			err := scan(&i.ID, &i.Code, &i.Kind, &i.Name, &i.Place, &i.Unit, &i.RangeLow, &i.RangeHigh, &i.Resolution, &i.Uncertainty,
				&i.CalibratedOn, &i.DueOn, &i.CertificateNumber, &i.State, &i.OutNote, &i.CreatedAt, &i.CreatedBy, &i.ChangedAt)
			gauges = append(gauges, i)
			return err
		}})
	}
	var charges []models.ChargeView
	if charged {
		questions = append(questions, s.chargesReaching(where, named, &charges)...)
	}
	if err := s.ask(ctx, questions...); err != nil {
		return models.Placement{}, fault(err, "find item %s", named)
	}
	if row.item.ID == "" {
		return models.Placement{}, fault(models.ErrNotFound, "find item %s", named)
	}
	p := row.placement()
	p.Instruments, p.Charges = gauges, charges
	if p.Family.ID == "" {
		return p, nil
	}
	var err error
	if p.Product != nil {
		if p.Form, err = s.ProductRevision(ctx, p.Product.ID, p.Product.Revision); err != nil {
			return p, err
		}
	}
	spec := row.ownSpecification
	if spec == nil {
		spec = row.familySpecification
	}
	if spec == nil {
		return p, fault(models.ErrNotFound, "find the specification of %s", named)
	}
	p.Specification, err = s.Specification(ctx, *spec)
	return p, err
}
