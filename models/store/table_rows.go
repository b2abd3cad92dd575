package store

import (
	"cmp"
	"encoding/json"
	"fmt"
	"slices"
	"strconv"
	"time"

	"tracewright/models"
)

// The tables that an inspection is written to, with their rows.
var (
	inspectionsTable = newTable("inspections", "id uuid", "item_id uuid", "family_id uuid", "product_id uuid", "product_revision integer", "specification_id uuid",
		"stage text", "person_id uuid", "device_id uuid", "place text", "started_at timestamptz", "measured_at timestamptz", "offset_ms bigint",
		"received_at timestamptz", "conditions json", "verdict text", "remarks json", "supersedes uuid", "reason text", "sent_hash text", "recheck boolean",
		"round integer", "first_set boolean", "superseded_by uuid", "pass_rounds integer", "pass_minutes integer")
	readingSetsTable = newTable("reading_sets", "inspection_id uuid", "code text", "method text", "instrument_id uuid", "person_id uuid", "unit text",
		"manner text", "readings json", "positions json", "moments json", "remarks json", "converted json", "masks json", "taken_at timestamptz")
	resultsTable = newTable("results", "inspection_id uuid", "code text", "position text", "value text", "value_f double precision", "unit text", "low text",
		"high text", "accept_low text", "accept_high text", "u text", "verdict text", "reason text", "method text", "readings integer", "detail json")
	itemsTable = newTable("items", "id uuid", "kind text", "serial text", "serial_tail text", "supplier text", "model text", "maker_number text",
		"family_id uuid", "product_id uuid", "state text", "origin text", "created_at timestamptz", "created_by text", "built_on text")
	fittedPartsTable = newTable("fitted_parts", "id uuid", "item_id uuid", "role text", "place text", "lot_id uuid", "part_id uuid", "quantity integer",
		"fitted_at timestamptz", "fitted_by text", "reason text")
	partRemovalsTable = newTable("part_removals", "id uuid", "fitted_id uuid", "item_id uuid", "quantity integer", "code text", "reason text", "fate text",
		"removed_at timestamptz", "removed_by text")
	holdsTable = newTable("holds", "id uuid", "item_id uuid", "lot_id uuid", "code text", "reason text", "state_before text", "raised_by uuid",
		"raised_at timestamptz")
	nonconformityStepsTable = newTable("nonconformity_steps", "id uuid", "nonconformity_id uuid", "what text", "inspection_id uuid", "results json", "work text", "again json",
		"supplier text", "lot text", "marked boolean", "holds json", "note text", "made_by uuid", "made_at timestamptz", "severity text")
	holdLiftsTable = newTable("hold_lifts", "hold_id uuid", "code text", "reason text", "lifted_by uuid", "lifted_at timestamptz")
	trailTable     = newTable("trail_entries", "id uuid", "at timestamptz", "actor text", "kind text", "subject text", "encoding integer", "digest text",
		"note text")
)

func inspectionRow(i *models.Inspection) ([]any, error) {
	conditions, err := jsonText(i.Conditions)
	if err != nil {
		return nil, err
	}
	remarks, err := listText(i.Remarks)
	if err != nil {
		return nil, err
	}
	return []any{i.ID, i.ItemID, i.FamilyID, i.ProductID, i.ProductRevision, i.SpecificationID,
		i.Stage, i.PersonID, i.DeviceID, i.Place, i.StartedAt, i.MeasuredAt, i.OffsetMS,
		i.ReceivedAt, conditions, i.Verdict, remarks, i.Supersedes, i.Reason, i.SentHash, i.Recheck,
		i.Round, i.FirstSet, i.SupersededBy, i.PassRounds, i.PassMinutes}, nil
}

// readingSetRow is a set of an inspection. Its person is left out where it is
// the inspection's; [takenBy] puts it back. Its moment stands on the first set of
// each gauge alone, by which what a gauge was used for is found: see [usedIn].
func readingSetRow(s *models.ReadingSet, of *models.Inspection, firstOfGauge bool) ([]any, error) {
	person := &s.PersonID
	if s.PersonID == of.PersonID {
		person = nil
	}
	var taken *time.Time
	if firstOfGauge {
		taken = &of.MeasuredAt
	}
	readings, err := listText(s.Values)
	if err != nil {
		return nil, err
	}
	moments, err := listText(s.Moments)
	if err != nil {
		return nil, err
	}
	remarks, err := listText(s.Remarks)
	if err != nil {
		return nil, err
	}
	converted, err := listText(s.Converted)
	if err != nil {
		return nil, err
	}
	masks, err := listText(s.Masks)
	if err != nil {
		return nil, err
	}
	return []any{s.InspectionID, s.Code, s.Method, s.InstrumentID, person, s.Unit, s.Manner, readings, positionsText(s.Index), moments, remarks, converted, masks, taken}, nil
}

// firstOfGauge says whether a set is the first of an inspection that its gauge gave.
func firstOfGauge(sets []models.ReadingSet, n int) bool {
	gauge := sets[n].InstrumentID
	return gauge != nil && !slices.ContainsFunc(sets[:n], func(s models.ReadingSet) bool { return s.InstrumentID != nil && *s.InstrumentID == *gauge })
}

// takenBy is a set as it was handed over: with its person.
func takenBy(s models.ReadingSet, of models.Inspection) models.ReadingSet {
	s.PersonID = cmp.Or(s.PersonID, of.PersonID)
	return s
}

func resultRow(r *models.Result) ([]any, error) {
	var detail *string
	if len(r.Detail) > 0 {
		text, err := jsonText(r.Detail)
		if err != nil {
			return nil, err
		}
		detail = &text
	}
	return []any{r.InspectionID, r.Code, r.Position, r.Value, r.ValueF, r.Unit, r.Low, r.High, r.AcceptLow, r.AcceptHigh, r.U, r.Verdict, r.Reason,
		r.Method, r.Readings, detail}, nil
}

func itemRow(i *models.Item) []any {
	return []any{i.ID, i.Kind, i.Serial, i.SerialTail, i.Supplier, i.Model, i.MakerNumber, i.FamilyID, i.ProductID, i.State, i.Origin, i.CreatedAt, i.CreatedBy, i.BuiltOn}
}

func fittedPartRow(p *models.FittedPart) []any {
	return []any{p.ID, p.ItemID, p.Role, p.Place, p.LotID, p.PartID, p.Quantity, p.FittedAt, p.FittedBy, p.Reason}
}

func partRemovalRow(r *models.PartRemoval) []any {
	return []any{r.ID, r.FittedID, r.ItemID, r.Quantity, r.Code, r.Reason, r.Fate, r.RemovedAt, r.RemovedBy}
}

func holdRow(h *models.Hold) []any {
	return []any{h.ID, h.ItemID, h.LotID, h.Code, h.Reason, h.StateBefore, h.RaisedBy, h.RaisedAt}
}

func nonconformityStepRow(s *models.NonconformityStep) ([]any, error) {
	var lists [3]string
	for i, list := range [][]string{s.Results, s.Again, s.Holds} {
		var err error
		if lists[i], err = listText(list); err != nil {
			return nil, err
		}
	}
	return []any{s.ID, s.NonconformityID, s.What, s.InspectionID, lists[0], s.Work, lists[1], s.Supplier, s.Lot, s.Marked, lists[2], s.Note, s.MadeBy, s.MadeAt, string(s.Severity)}, nil
}

func holdLiftRow(l *models.HoldLift) []any {
	return []any{l.HoldID, l.Code, l.Reason, l.LiftedBy, l.LiftedAt}
}

// trailRow is an entry that is not sealed yet.
func trailRow(e *models.TrailEntry) []any {
	return []any{e.ID, e.At, e.Actor, e.Kind, e.Subject, e.Encoding, e.Digest, e.Note}
}

func jsonText(v any) (string, error) {
	raw, err := json.Marshal(v)
	if err != nil {
		return "", fmt.Errorf("write JSON: %w", err)
	}
	return string(raw), nil
}

// listText writes a list; none is an empty list, never null.
func listText[T any](list []T) (string, error) {
	if len(list) == 0 {
		return "[]", nil
	}
	return jsonText(list)
}

// positionsText writes positions as numbers or pairs, without the cost of a
// marshaller for each.
func positionsText(list []models.Position) string {
	var out []byte
	out = append(out, '[')
	for i, p := range list {
		if i > 0 {
			out = append(out, ',')
		}
		if p.IsBlock() {
			out = append(strconv.AppendInt(append(out, '['), int64(p.String), 10), ',')
			out = append(strconv.AppendInt(out, int64(p.Place), 10), ']')
		} else {
			out = strconv.AppendInt(out, int64(p.Place), 10)
		}
	}
	return string(append(out, ']'))
}
