package stock

import (
	"context"
	"crypto/sha256"
	"encoding/hex"
	"encoding/json"
	"errors"
	"fmt"
	"slices"
	"time"

	"tracewright/models"
	"tracewright/models/trade/ident"
	"tracewright/models/trade/kinds"
	"tracewright/models/trade/pack"
)

// intake is a delivery with what is known about it.
type intake struct {
	Delivery
	product models.Product
	form    models.BlockForm
	lot     *models.Lot
	made    []string // day by the date code, row by row
	age     []int    // days since then
	items   []*models.Item
	labels  []string                         // serials of labels printed ahead that a row brings into use
	known   map[string][]models.BlockReceipt // by row
	subs    []models.Submission
	hashes  []string
	invalid *models.InvalidError
	// conflict is told after what is invalid: a field can be put right.
	conflict error
}

// TakeIn takes a list of blocks in and records their readings. Errors:
// *models.InvalidError with every problem of every row, and then nothing is
// stored; models.ErrConflict where a row is known with other content. A list that
// was broken off is sent again and goes on where it stopped.
func (s *Service) TakeIn(ctx context.Context, actor models.Actor, d Delivery) ([]Taken, error) {
	d.Rows = slices.Clone(d.Rows)
	for i := range d.Rows {
		d.Rows[i].Number = ident.MakersNumber(d.Rows[i].Number)
	}
	in := &intake{Delivery: d, invalid: &models.InvalidError{}}
	if err := s.resolve(ctx, in); err != nil {
		return nil, err
	}
	if err := in.invalid.OrNil(); err != nil {
		return nil, err
	}
	in.checkRows(s.today(ctx))
	if err := s.findBlocks(ctx, in); err != nil {
		return nil, err
	}
	if err := s.checkLife(ctx, in); err != nil {
		return nil, err
	}
	if err := s.tryReadings(ctx, actor, in); err != nil {
		return nil, err
	}
	if err := in.invalid.OrNil(); err != nil {
		return nil, err
	}
	if in.conflict != nil {
		return nil, in.conflict
	}
	return s.keep(ctx, actor, in)
}

// resolve finds the model and the lot.
func (s *Service) resolve(ctx context.Context, in *intake) error {
	product, form, err := s.model(ctx, in.Model, "model")
	var invalid *models.InvalidError
	switch {
	case errors.As(err, &invalid):
		in.invalid.Problems = append(in.invalid.Problems, invalid.Problems...)
	case err != nil:
		return err
	}
	in.product, in.form = product, form
	switch in.Stage {
	case models.Incoming, models.SecondReading:
	case "":
		in.invalid.Add("stage", "missing")
	default:
		in.invalid.Add("stage", "unknown_choice", "typed", models.Shortened(in.Stage))
	}
	switch n := len(in.Rows); {
	case n == 0:
		in.invalid.Add("rows", "missing")
	case n > mostRows:
		in.invalid.Add("rows", "too_big", "most", fmt.Sprint(mostRows))
	}
	if in.DateCode != "" && invalid == nil && form.DateCode == "" { // Dropped in silence it would make the blocks ageless.
		in.invalid.Add("date_code", "date_code_unread", "product", product.Name)
	}
	if in.Lot == "" {
		return nil
	}
	lots, err := s.store.LotsByCode(ctx, []string{in.Lot})
	if err != nil {
		return fmt.Errorf("find lot %.40q: %w", in.Lot, err)
	}
	switch {
	case len(lots) == 0:
		in.invalid.Add("lot", "unknown_lot", "lot", models.Shortened(in.Lot))
	case lots[0].Material != "blocks":
		in.invalid.Add("lot", "lot_of_other_material", "lot", lots[0].Code)
	default:
		in.lot = &lots[0]
	}
	return nil
}

// model finds a block model by its product.
func (s *Service) model(ctx context.Context, productID, field string) (models.Product, models.BlockForm, error) {
	if productID == "" {
		return models.Product{}, models.BlockForm{}, models.Invalid(field, "missing")
	}
	product, err := s.store.Product(ctx, productID)
	if errors.Is(err, models.ErrNotFound) {
		return models.Product{}, models.BlockForm{}, models.Invalid(field, "unknown_product", "product", models.Shortened(productID))
	}
	if err != nil {
		return models.Product{}, models.BlockForm{}, fmt.Errorf("block model %.40q: %w", productID, err)
	}
	revision, err := s.store.ProductRevision(ctx, product.ID, product.Revision)
	if err != nil {
		return models.Product{}, models.BlockForm{}, fmt.Errorf("form of block model %s: %w", product.Name, err)
	}
	if revision.Form.Block == nil {
		return models.Product{}, models.BlockForm{}, models.Invalid(field, "no_block_model", "product", product.Name)
	}
	return product, *revision.Form.Block, nil
}

// digest is what tells a repeated row from a changed one.
func (in *intake) digest(i int) (string, error) {
	d := in.Delivery
	d.Rows, d.SentAt = []Row{d.Rows[i]}, time.Time{}
	raw, err := json.Marshal(d)
	if err != nil {
		return "", fmt.Errorf("digest of row %d: %w", i+1, err)
	}
	sum := sha256.Sum256(raw)
	return hex.EncodeToString(sum[:]), nil
}

// tryReadings holds every reading against what would record it.
func (s *Service) tryReadings(ctx context.Context, actor models.Actor, in *intake) error {
	in.subs = make([]models.Submission, len(in.Rows))
	var tried []models.Submission
	var at []int
	for i, r := range in.Rows {
		if !r.read() {
			continue
		}
		in.subs[i] = in.submission(i)
		sub := in.subs[i]
		sub.Serial, sub.Part = "to be found", models.PartName{} // not looked at when tried
		tried, at = append(tried, sub), append(at, i)
	}
	if len(tried) == 0 {
		return nil
	}
	problems, err := s.record.Try(ctx, actor, in.product.ID, tried)
	if err != nil {
		return fmt.Errorf("try the readings of %d blocks: %w", len(tried), err)
	}
	for k, problem := range problems {
		var invalid *models.InvalidError
		if errors.As(problem, &invalid) {
			in.told(at[k], invalid)
		}
	}
	return s.knownInspections(ctx, in)
}

// knownInspections refuses a reading whose id is known with other content,
// before anything is stored.
func (s *Service) knownInspections(ctx context.Context, in *intake) error {
	for i, sub := range in.subs {
		if sub.ID == "" || in.items[i] == nil || len(in.invalid.Problems) > 0 {
			continue
		}
		stored, err := s.store.Inspection(ctx, sub.ID)
		if errors.Is(err, models.ErrNotFound) {
			continue
		}
		if err != nil {
			return fmt.Errorf("look for inspection %s: %w", sub.ID, err)
		}
		name(&sub, *in.items[i], in.form)
		hash, err := sub.Digest()
		if err != nil {
			return fmt.Errorf("digest of row %d: %w", i+1, err)
		}
		if hash != stored.SentHash {
			in.conflict = fmt.Errorf("row %d, %s, is known with other content: %w", i+1, sub.ID, models.ErrConflict)
		}
	}
	return nil
}

// keep takes in what is new and records what was read.
func (s *Service) keep(ctx context.Context, actor models.Actor, in *intake) ([]Taken, error) {
	stamp := models.NewStamp(actor, s.now())
	taken := make([]Taken, len(in.Rows))
	var fresh []models.NewBlock
	var of []int
	for i, r := range in.Rows {
		taken[i] = Taken{Row: r.ID, MadeOn: in.made[i]}
		switch before := in.known[r.ID]; {
		case len(before) > 0:
			if err := s.again(ctx, &taken[i], before); err != nil {
				return nil, err
			}
		case in.items[i] != nil:
			taken[i].Blocks = []models.Item{*in.items[i]}
		default:
			taken[i].New = true
			for n := 1; n <= max(1, r.Count); n++ {
				fresh, of = append(fresh, in.block(i, n, stamp)), append(of, i)
			}
		}
	}
	if len(fresh) > 0 {
		items, err := s.store.AddBlocks(ctx, stamp, s.now().In(s.zone(ctx)).Year()%100, fresh)
		if errors.Is(err, ident.ErrUsedUp) {
			return nil, &models.RefusedError{Reasons: []models.Remark{models.NewRemark("serials_used_up")}}
		}
		if err != nil {
			return nil, fmt.Errorf("take in %d blocks: %w", len(fresh), err)
		}
		for k, item := range items {
			taken[of[k]].Blocks = append(taken[of[k]].Blocks, item)
		}
	}
	if err := s.recordRows(ctx, actor, in, taken); err != nil {
		return nil, err
	}
	return taken, s.setOldAside(ctx, stamp, in, taken)
}

// again answers a repeated row with what it brought.
func (s *Service) again(ctx context.Context, t *Taken, receipts []models.BlockReceipt) error {
	for _, r := range receipts {
		item, err := s.store.Item(ctx, r.ItemID)
		if err != nil {
			return fmt.Errorf("the block of row %s: %w", r.RowID, err)
		}
		t.Blocks, t.MadeOn = append(t.Blocks, item), r.MadeOn
	}
	return nil
}

// block is the nth new block of a row.
func (in *intake) block(i, n int, stamp models.Stamp) models.NewBlock {
	r := in.Rows[i]
	b := models.NewBlock{
		Item: models.Item{ID: models.NewID(), Kind: models.KindBlock, Supplier: in.form.Supplier, Model: in.form.Model, FamilyID: &in.product.FamilyID, ProductID: &in.product.ID,
			State: models.StateInProcess, Origin: "received", CreatedAt: stamp.At, CreatedBy: stamp.By.String()},
		Receipt: models.BlockReceipt{RowID: r.ID, N: n, DateCode: in.dateCode(i), MadeOn: in.made[i], SentHash: in.hashes[i]},
	}
	switch {
	case in.labels[i] != "":
		tail := ident.Tail(in.labels[i])
		b.Item.Serial, b.Item.SerialTail, b.Item.Origin = &in.labels[i], &tail, "roll"
	case r.Number != "":
		number := r.Number
		b.Item.MakerNumber = &number
	}
	if in.lot != nil {
		b.Receipt.LotID = &in.lot.ID
	}
	return b
}

func (s *Service) recordRows(ctx context.Context, actor models.Actor, in *intake, taken []Taken) error {
	for i := range taken {
		sub := in.subs[i]
		if sub.ID == "" {
			continue
		}
		name(&sub, taken[i].Blocks[0], in.form)
		inspection, _, err := s.record.RecordOne(ctx, actor, sub, in.SentAt)
		if err != nil {
			return fmt.Errorf("record row %d: %w", i+1, err)
		}
		taken[i].Inspection, taken[i].Remarks = &inspection, inspection.Remarks
		if inspection.Verdict == models.VerdictFail {
			if err := s.sayWhy(ctx, in.form, &taken[i]); err != nil {
				return err
			}
		}
	}
	return nil
}

// sayWhy adds what is against a block that did not pass, so that whoever measures
// it hears at once: reversed, low, its resistance off.
func (s *Service) sayWhy(ctx context.Context, form models.BlockForm, t *Taken) error {
	stored, err := s.store.StockBlock(ctx, t.Blocks[0].ID)
	if err != nil {
		return err
	}
	b := &Block{StockBlock: stored}
	b.readings()
	b.againstReading(form, s.now().In(s.zone(ctx)))
	b.againstResistance(form)
	b.againstVerdict()
	for _, r := range b.Reasons {
		if !slices.ContainsFunc(t.Remarks, func(x models.Remark) bool { return x.Code == r.Code }) {
			t.Remarks = append(t.Remarks, r)
		}
	}
	return nil
}

// name says which block a submission is of.
func name(sub *models.Submission, item models.Item, form models.BlockForm) {
	if item.Serial != nil {
		sub.Serial, sub.Part = *item.Serial, models.PartName{}
		return
	}
	sub.Serial, sub.Part = "", models.PartName{Supplier: form.Supplier, Model: form.Model, Number: *item.MakerNumber}
}

// setOldAside quarantines the blocks that are older than their model allows,
// once, and says which are near it. A list that was broken off before this is
// caught up with when it is sent again.
func (s *Service) setOldAside(ctx context.Context, stamp models.Stamp, in *intake, taken []Taken) error {
	most, limited := kinds.BlockLimit(in.form, "block_age_max_days")
	warn, warned := kinds.BlockLimit(in.form, "block_age_warn_days")
	var decisions []models.Disposition
	for i := range taken {
		if in.made[i] == "" {
			continue
		}
		switch age := float64(in.age[i]); {
		case limited && age > most.Float():
			reason := models.NewRemark(pack.TooOldByDateCode, "days", fmt.Sprint(in.age[i]), "most", most.String())
			taken[i].Remarks = append(taken[i].Remarks, reason)
			for _, b := range taken[i].Blocks {
				if before, err := s.store.Dispositions(ctx, b.ID); err != nil || len(before) > 0 {
					if err != nil {
						return err
					}
					continue // It was set aside when it came in, and may have been released.
				}
				d := models.Disposition{ID: models.NewID(), ItemID: b.ID, Decision: models.Quarantine, Code: "too_old", DecidedAt: stamp.At, DecidedBy: stamp.By.String()}
				decisions = append(decisions, d)
				taken[i].SetAside = &d
			}
		case warned && age > warn.Float():
			taken[i].Remarks = append(taken[i].Remarks, models.NewRemark("block_getting_old", "days", fmt.Sprint(in.age[i]), "most", most.String()))
		}
	}
	if len(decisions) == 0 {
		return nil
	}
	return s.store.AddDispositions(ctx, stamp, decisions)
}

// good leaves out what is no key, which a database refuses to compare.
func good(ids []string) []string {
	var list []string
	for _, id := range ids {
		if models.IsID(id) {
			list = append(list, id)
		}
	}
	return list
}
