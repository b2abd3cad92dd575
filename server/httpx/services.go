package httpx

import (
	"context"
	"log/slog"
	"time"

	"tracewright/models"
	"tracewright/models/words"
	"tracewright/models/work/access"
	"tracewright/models/work/assembly"
	"tracewright/models/work/attention"
	"tracewright/models/work/backup"
	"tracewright/models/work/build"
	"tracewright/models/work/capture"
	"tracewright/models/work/claims"
	"tracewright/models/work/corrective"
	"tracewright/models/work/defects"
	"tracewright/models/work/documents"
	"tracewright/models/work/effect"
	"tracewright/models/work/failures"
	"tracewright/models/work/finder"
	"tracewright/models/work/gauges"
	"tracewright/models/work/goodness"
	"tracewright/models/work/labels"
	"tracewright/models/work/lists"
	"tracewright/models/work/monitor"
	"tracewright/models/work/nonconforming"
	"tracewright/models/work/privacy"
	"tracewright/models/work/recall"
	"tracewright/models/work/receive"
	"tracewright/models/work/release"
	"tracewright/models/work/returns"
	"tracewright/models/work/review"
	"tracewright/models/work/sealing"
	"tracewright/models/work/shelf"
	"tracewright/models/work/shipping"
	"tracewright/models/work/shop"
	"tracewright/models/work/specify"
	"tracewright/models/work/stands"
	"tracewright/models/work/stock"
	"tracewright/models/work/studies"
	"tracewright/models/work/trace"
	"tracewright/models/work/truing"
	"tracewright/models/work/watch"
)

// Services is what handlers call; app fills it. A handler takes from it the
// one service it needs.
type Services struct {
	Access   *access.Service
	Sessions *Sessions
	Shop     *shop.Service
	Capture  *capture.Service
	Gauges   *gauges.Service
	Labels   *labels.Service
	Monitor  *monitor.Service
	Receive  *receive.Service
	Release  *release.Service
	Specify  *specify.Service
	Trace    *trace.Service
	Stands   *stands.Service
	Studies  *studies.Service
	Truing   *truing.Service
	Shelf    *shelf.Service
	Build    *build.Service
	Stock    *stock.Service
	Assembly *assembly.Service
	Shipping *shipping.Service
	Recall   *recall.Service
	Sealing  *sealing.Service
	Privacy  *privacy.Service
	Backups  *backup.Service

	Documents *documents.Service
	Claims    *claims.Service

	Nonconforming *nonconforming.Service
	Corrective    *corrective.Service
	Defects       *defects.Service
	Lists         *lists.Service
	Watch         *watch.Service
	Failures      *failures.Service
	Finder        *finder.Service
	Effect        *effect.Service

	Goodness  *goodness.Service
	Returns   *returns.Service
	Attention *attention.Service
	Reviews   *review.Service

	Authority []byte // certificate of the local authority, DER; nil where there is none

	Log     *slog.Logger // of what went wrong beside an answer that was given all the same; nil: nowhere
	Now     func() time.Time
	Ready   func(context.Context) []string // what keeps the server from working, by a word each
	Version string

	Stopping func() bool // told to stop: what is in flight finishes, nothing new should come
}

// Zone is the shop's time zone: shown dates, weeks and months.
func (s Services) Zone(ctx context.Context) *time.Location {
	if s.Shop == nil {
		return time.UTC
	}
	return s.Shop.Zone(ctx)
}

// Faults are the codes of what can be wrong, as the shop says them; the shipped
// ones where nobody keeps them, or they cannot be read.
func (s Services) Faults(ctx context.Context) models.Defects {
	if s.Defects == nil {
		return models.NewDefects(nil)
	}
	book, err := s.Defects.Book(ctx)
	if err != nil && s.Log != nil {
		s.Log.ErrorContext(ctx, "the codes of defects are shown as shipped", "cause", err)
	}
	return book
}

// Fault is what is wrong, in the words that the shop had for it at a moment.
func (s Services) Fault(ctx context.Context, code string, at time.Time) string {
	return FaultIn(s.Faults(ctx), code, at)
}

// FaultIn is what is wrong, in the words of a book at a moment.
func FaultIn(book models.Defects, code string, at time.Time) string {
	if name := book.At(code, at).Name; name != "" {
		return name
	}
	return words.In("en").Defect(code)
}
