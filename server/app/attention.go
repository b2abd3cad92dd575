package app

import (
	"context"
	"slices"
	"time"

	"tracewright/models"
	"tracewright/models/words"
	"tracewright/models/work/access"
	"tracewright/models/work/attention"
	"tracewright/models/work/backup"
	"tracewright/models/work/gauges"
	"tracewright/models/work/privacy"
	"tracewright/models/work/recall"
	"tracewright/models/work/receive"
	"tracewright/models/work/sealing"
	"tracewright/models/work/shelf"
	"tracewright/models/work/specify"
	"tracewright/models/work/stock"
)

// needed are the services whose findings the list of what needs attention gathers.
type needed struct {
	recalls *recall.Service
	gauges  *gauges.Service
	shelf   *shelf.Service
	goods   *receive.Service
	blocks  *stock.Service
	specify *specify.Service
	seals   *sealing.Service
	// signals gives those of the watched charts that have no cause.
	signals func(context.Context) ([]models.ChartSignal, error)
	backups *backup.Service
	dialect string
	people  *access.Service
	privacy *privacy.Service
}

// sources turns what services know into what the list wants of them.
func (n needed) sources() attention.Sources {
	return attention.Sources{
		Signals: n.signals,
		Recalls: n.openRecalls,
		Traces:  n.undecidedTraces,
		Checks:  n.checksNeeded,
		Shelf:   n.toCharge,
		Lots:    n.lotsAsked,
		Seals:   n.sealTroubles,
		Backup:  n.backedUp,
		Keys:    n.doubtedKeys,
		Kept:    n.keptLong,
	}
}

func (n needed) openRecalls(ctx context.Context) ([]attention.OpenRecall, error) {
	open, err := n.recalls.Open(ctx)
	out := make([]attention.OpenRecall, len(open))
	for i, v := range open {
		about := v.About
		if v.Scope.Part != "" {
			about = words.Serial(about)
		}
		out[i] = attention.OpenRecall{Number: v.Number, About: about, MadeAt: v.MadeAt, Called: v.Called, Notified: v.Notified, Answered: v.Answered}
	}
	return out, err
}

func (n needed) undecidedTraces(ctx context.Context) ([]attention.Traced, error) {
	open, err := n.gauges.Undecided(ctx)
	out := make([]attention.Traced, len(open))
	for i, u := range open {
		out[i] = attention.Traced{Instrument: u.Instrument, TraceID: u.Trace.ID, Cause: u.Trace.Cause, At: u.At, Judged: u.Judged, NoLonger: u.NoLonger, Here: u.Here, Shipped: u.Shipped}
	}
	return out, err
}

func (n needed) checksNeeded(ctx context.Context) ([]attention.Checked, error) {
	list, err := n.gauges.ChecksNeeded(ctx)
	out := make([]attention.Checked, len(list))
	for i, c := range list {
		out[i] = attention.Checked{Instrument: c.Instrument, Failed: c.State == gauges.ChecksFailed}
	}
	return out, err
}

func (n needed) toCharge(ctx context.Context) (attention.Shelf, error) {
	look, err := n.shelf.Look(ctx)
	if err != nil {
		return attention.Shelf{}, err
	}
	var out attention.Shelf
	for _, rows := range [][]*shelf.Row{look.Today, look.Soon} {
		for _, r := range rows {
			if r.Due.After(look.Day.AddDate(0, 0, attention.ChargeSoonDays)) {
				continue
			}
			if out.Count++; out.Count == 1 || r.Due.Before(out.Due) {
				out.First, out.Due = r.Item.Name(), r.Due
			}
			if r.Due.Before(look.Day) {
				out.Late++
			}
		}
	}
	return out, nil
}

func (n needed) lotsAsked(ctx context.Context) ([]attention.LotAsked, error) {
	var out []attention.LotAsked
	questions, err := n.goods.Questions(ctx)
	if err != nil {
		return nil, err
	}
	for _, q := range questions {
		asked := attention.LotAsked{Code: q.Lot.Code, Kind: q.Kind, Pieces: q.Pieces, Since: q.Lot.ReceivedAt}
		switch {
		case q.About != nil:
			asked.Since = q.About.DecidedAt
		case q.Look != nil:
			asked.Of = q.Look.Lot
		case q.Count != nil:
			asked.Since = q.Count.CountedAt
		}
		out = append(out, asked)
	}
	products, err := n.blockProducts(ctx)
	if err != nil {
		return nil, err
	}
	doubted, err := n.blocks.Doubted(ctx, products)
	for _, d := range doubted {
		out = append(out, attention.LotAsked{Code: d.Lot, Kind: "doubt", Pieces: d.Open, Since: d.Since})
	}
	return out, err
}

func (n needed) sealTroubles() []models.Remark {
	state := n.seals.Troubles()
	var out []models.Remark
	for _, x := range []struct {
		wrong bool
		code  string
	}{{state.NotSealed != nil, "seal_not_sealed"}, {state.NotSigned != nil, "seal_not_signed"}, {state.NotCopied != nil, "seal_not_copied"}, {state.ClockBehind > 0, "seal_clock_behind"}} {
		if x.wrong {
			out = append(out, models.NewRemark(x.code))
		}
	}
	return out
}

// blockProducts are the models of blocks, family by family.
func (n needed) blockProducts(ctx context.Context) ([]models.Product, error) {
	families, err := n.specify.Families(ctx)
	if err != nil {
		return nil, err
	}
	var list []models.Product
	for _, f := range families {
		if f.Kind != models.KindBlock {
			continue
		}
		products, err := n.specify.Products(ctx, f.ID)
		if err != nil {
			return nil, err
		}
		list = append(list, products...)
	}
	return list, nil
}

func (n needed) backedUp(ctx context.Context) (models.Backup, error) {
	state, err := n.backups.State(ctx)
	out := models.Backup{Kept: state.Kept, LastGood: state.LastGood, Dialect: n.dialect}
	for _, code := range state.Trouble {
		r := models.NewRemark("backup_"+code, "folder", state.Folder)
		if state.Restored != nil {
			r.Values["date"] = state.Restored.BackupAt.Format(time.DateOnly)
		}
		if code == backup.NotSealed {
			out.Clear = &r
			continue
		}
		out.Trouble = append(out.Trouble, r)
	}
	return out, err
}

// doubtedKeys puts what is doubted about one tablet together.
func (n needed) doubtedKeys(ctx context.Context) ([]attention.DoubtedKey, error) {
	doubts, err := n.people.Doubts(ctx)
	var out []attention.DoubtedKey
	at := map[string]int{}
	for _, d := range doubts {
		i, seen := at[d.DeviceID]
		if !seen {
			i, at[d.DeviceID] = len(out), len(out)
			out = append(out, attention.DoubtedKey{Device: d.Device.Name, Place: d.Device.Place, Since: d.FirstAt})
		}
		says := models.NewRemark("attention_key_" + d.Kind)
		if !slices.ContainsFunc(out[i].Says, func(r models.Remark) bool { return r.Code == says.Code }) {
			out[i].Says = append(out[i].Says, says)
		}
	}
	return out, err
}

func (n needed) keptLong(ctx context.Context) (attention.KeptLong, error) {
	due, err := n.privacy.Due(ctx)
	return attention.KeptLong{Count: len(due.Customers), More: due.More, Months: due.Months}, err
}
