package store

import (
	"cmp"
	"reflect"
	"slices"
	"strings"

	"gorm.io/gorm"
	"gorm.io/gorm/clause"

	"tracewright/models"
)

// recordKind is how the rows behind the entries of one kind are found.
type recordKind struct {
	models.RecordKind
	texts   bool // its subjects are texts, not ids
	records func(tx *gorm.DB, subjects []string) ([]models.StoredRecord, error)
	// unentered lists subjects that no entry speaks of.
	unentered func(tx *gorm.DB, limit int) ([]string, error)
}

// recordKinds lists every kind of record that leaves entries in the trail, but
// the log's own.
var recordKinds = []recordKind{
	of[models.Person]("id").inPlace(),
	of[models.Device]("id").inPlace(),
	of[models.Setting]("name").inPlace().named(),
	of[models.Family]("id"),
	of[models.Product]("id"),
	of[models.ProductRevision]("product_id"),
	of[models.Specification]("id"),
	of[models.Lot]("id"),
	of[models.Material]("code").inPlace().named(),
	of[models.Supplier]("name").named(),
	of[models.LotCheck]("id"),
	of[models.LotDecision]("id"),
	of[models.LotScrap]("id"),
	of[models.LotCount]("id"),
	of[models.LotExplanation]("id"),
	of[models.LotMix]("id"),
	of[models.Attachment]("id").erasable(),
	of[models.Instrument]("id").inPlace(),
	of[models.GaugeTable]("instrument_id"),
	of[models.CalibrationReport]("id"),
	of[models.GaugeCheck]("id").inPlace(),
	of[models.GaugeReading]("id"),
	of[models.GaugeTrace]("id"),
	of[models.GaugeStudy]("id"),
	of[models.StudyReading]("id"),
	of[models.StudyStrike]("reading_id"),
	of[models.StudyEnd]("study_id"),
	of[models.UncertaintyBudget]("id"),
	of[models.Item]("id"),
	of[models.SerialRoll]("id"),
	of[models.FittedPart]("id"),
	of[models.PartRemoval]("id"),
	inspectionKind(),
	of[models.Unplaced]("id"),
	of[models.UnplacedSettlement]("unplaced_id"),
	of[models.TurnList]("id"),
	of[models.TurnDone]("id"),
	of[models.TurnRound]("inspection_id"),
	of[models.TurnAnswer]("id"),
	of[models.Hold]("id"),
	of[models.HoldLift]("hold_id"),
	of[models.Certificate]("id"),
	of[models.CertificateChange]("certificate_id"),
	of[models.LabelPrint]("id"),
	of[models.BlockReceipt]("item_id"),
	of[models.Disposition]("id"),
	of[models.Match]("id"),
	of[models.MatchPlacement]("id"),
	of[models.MatchEnd]("match_id"),
	of[models.Charge]("id"),
	of[models.ChargeEnd]("charge_id"),
	of[models.ShelfPlace]("id"),
	of[models.ShelfTemperature]("id"),
	of[models.WantedDate]("id"),
	of[models.BuildList]("family_id"),
	of[models.BuildTick]("id"),
	of[models.CapacityTest]("id"),
	of[models.KitPacking]("id"),
	of[models.Order]("id"),
	of[models.OrderEnd]("order_id"),
	shipmentKind(),
	of[models.ShipmentVoid]("shipment_id"),
	of[models.Customer]("id").inPlace().erasable(),
	of[models.CustomerLook]("id").inPlace(),
	of[models.Recall]("id"),
	of[models.RecallRun]("id"),
	of[models.RecallResponse]("id"),
	of[models.RecallEnd]("recall_id"),
	claimKind(),
	of[models.ClaimEvent]("id"),
	of[models.CheckList]("id"),
	of[models.Nonconformity]("id"),
	of[models.NonconformityStep]("id"),
	of[models.DefectRevision]("id"),
	of[models.CorrectiveAction]("id"),
	of[models.CorrectiveActionStep]("id"),
	of[models.ChartBaseline]("id"),
	of[models.SignalCause]("id"),
	of[models.ChartEvent]("id"),
	of[models.Review]("id"),
	of[models.Restoration]("id"),
	of[models.RestoredLabel]("id"),
}

// of is a kind whose records are the rows of one table; the column holds what
// entries call the subject.
func of[T models.Recorded](column string) recordKind {
	var record T
	return rowsOfOneTable(column, record, reflect.TypeFor[[]T](), new(T))
}

// rowsOfOneTable is what of does, compiled once for all kinds; list is the type of many
// such records, model points at one.
func rowsOfOneTable(column string, record models.Recorded, list reflect.Type, model any) recordKind {
	name, _, _ := record.TrailName()
	return recordKind{
		RecordKind: models.RecordKind{Name: name},
		records: func(tx *gorm.DB, subjects []string) ([]models.StoredRecord, error) {
			found := reflect.New(list)
			err := findRows(tx, column, subjects, found.Interface())
			rows := found.Elem()
			out := make([]models.StoredRecord, rows.Len())
			for i := range out {
				out[i] = models.StoredRecord{Recorded: rows.Index(i).Interface().(models.Recorded), Intact: true}
				if b, holds := out[i].Recorded.(models.Backed); holds {
					out[i].Intact = b.Intact()
				}
			}
			return out, err
		},
		unentered: unentered(name, column, model),
	}
}

func (k recordKind) inPlace() recordKind  { k.InPlace = true; return k }
func (k recordKind) erasable() recordKind { k.Erasable = true; return k }
func (k recordKind) named() recordKind    { k.texts = true; return k }

func rowsOf[T any](tx *gorm.DB, column string, subjects []string) ([]T, error) {
	var rows []T
	err := findRows(tx, column, subjects, &rows)
	return rows, err
}

func findRows(tx *gorm.DB, column string, subjects []string, rows any) error {
	return tx.Where("? IN ?", clause.Column{Name: column}, subjects).Find(rows).Error
}

// unentered finds records of the model's table that no entry tells of.
func unentered(kind, column string, model any) func(*gorm.DB, int) ([]string, error) {
	return func(tx *gorm.DB, limit int) ([]string, error) {
		var subjects []string
		subject := clause.Column{Table: clause.CurrentTable, Name: column}
		// The kind is kept from its index: SQLite would walk along all entries of a
		// kind for each row, where a subject has but a few.
		err := tx.Model(model).Where("NOT EXISTS (SELECT 1 FROM trail_entries AS t WHERE t.subject = CAST(? AS text) AND t.kind || '' = ?)", subject, kind).
			Distinct().Limit(limit).Pluck(column, &subjects).Error
		return subjects, err
	}
}

// inspectionKind is a record of three tables, in the order they were encoded in.
func inspectionKind() recordKind {
	var record models.RecordedInspection
	name, _, _ := record.TrailName()
	return recordKind{
		RecordKind: models.RecordKind{Name: name},
		records: func(tx *gorm.DB, subjects []string) ([]models.StoredRecord, error) {
			inspections, err := rowsOf[models.Inspection](tx, "id", subjects)
			if err != nil {
				return nil, err
			}
			sets, err := rowsOf[models.ReadingSet](tx, "inspection_id", subjects)
			if err != nil {
				return nil, err
			}
			results, err := rowsOf[models.Result](tx, "inspection_id", subjects)
			if err != nil {
				return nil, err
			}
			whole := map[string]*models.NewInspection{}
			for _, i := range inspections {
				whole[i.ID] = &models.NewInspection{Inspection: i}
			}
			for _, s := range sets {
				if n := whole[s.InspectionID]; n != nil {
					n.Sets = append(n.Sets, takenBy(s, n.Inspection))
				}
			}
			for _, r := range results {
				if n := whole[r.InspectionID]; n != nil {
					n.Results = append(n.Results, r)
				}
			}
			out := make([]models.StoredRecord, 0, len(whole))
			for _, n := range whole {
				sortParts(n)
				out = append(out, models.StoredRecord{Recorded: models.RecordedInspection{Inspection: n.Inspection, Sets: n.Sets, Results: n.Results}, Intact: true})
			}
			return out, nil
		},
		unentered: unentered(name, "id", new(models.Inspection)),
	}
}

// sortParts puts the parts of an inspection into the order they are encoded in.
func sortParts(n *models.NewInspection) {
	slices.SortFunc(n.Sets, func(a, b models.ReadingSet) int {
		return cmp.Or(strings.Compare(a.Code, b.Code), strings.Compare(a.Method, b.Method))
	})
	slices.SortFunc(n.Results, func(a, b models.Result) int {
		return cmp.Or(strings.Compare(a.Code, b.Code), strings.Compare(a.Position, b.Position))
	})
}

// shipmentKind knows what went from a table beside it.
func shipmentKind() recordKind {
	kind := of[models.Shipment]("id")
	kind.records = func(tx *gorm.DB, subjects []string) ([]models.StoredRecord, error) {
		shipments, err := rowsOf[models.Shipment](tx, "id", subjects)
		if err != nil {
			return nil, err
		}
		items, err := rowsOf[models.ShipmentItem](tx, "shipment_id", subjects)
		if err != nil {
			return nil, err
		}
		went := map[string][]string{}
		for _, i := range items {
			went[i.ShipmentID] = append(went[i.ShipmentID], i.ItemID)
		}
		out := make([]models.StoredRecord, len(shipments))
		for i, s := range shipments {
			s.Items = went[s.ID]
			slices.Sort(s.Items)
			out[i] = models.StoredRecord{Recorded: s, Intact: true}
		}
		return out, nil
	}
	return kind
}

// claimKind covers the customer's words by a salted hash; they may be erased.
func claimKind() recordKind {
	kind := of[models.Claim]("id")
	kind.records = func(tx *gorm.DB, subjects []string) ([]models.StoredRecord, error) {
		claims, err := rowsOf[models.Claim](tx, "id", subjects)
		if err != nil {
			return nil, err
		}
		words, err := rowsOf[models.ClaimWords](tx, "claim_id", subjects)
		if err != nil {
			return nil, err
		}
		said := map[string]string{}
		for _, w := range words {
			said[w.ClaimID] = w.Hash()
		}
		out := make([]models.StoredRecord, len(claims))
		for i, c := range claims {
			hash, kept := said[c.ID]
			out[i] = models.StoredRecord{Recorded: c, Intact: !kept || hash == c.WordsHash}
		}
		return out, nil
	}
	return kind
}

// adopt enters records that no entry speaks of: what came with the schema, or is
// older than the trail. It is done once, when the log begins; from then on such a
// record is one that somebody put in.
func adopt(tx *gorm.DB, stamp models.Stamp) error {
	const atOnce = 500
	for _, k := range recordKinds {
		for {
			subjects, err := k.unentered(tx, atOnce)
			if err != nil {
				return err
			}
			if len(subjects) == 0 {
				break
			}
			records, err := k.records(tx, subjects)
			if err != nil {
				return err
			}
			for _, r := range records {
				if err := enter(tx, stamp, r.Recorded, models.NoteAdopted); err != nil {
					return err
				}
			}
		}
	}
	return nil
}
