package httpx

import (
	"time"

	"tracewright/models/work/access"
	"tracewright/models/work/capture"
	"tracewright/models/work/gauges"
	"tracewright/models/work/monitor"
	"tracewright/models/work/release"
	"tracewright/models/work/specify"
	"tracewright/models/work/trace"
)

// Services is what handlers call; app fills it. A handler takes from it the
// one service it needs.
type Services struct {
	Access   *access.Service
	Sessions *Sessions
	Capture  *capture.Service
	Gauges   *gauges.Service
	Monitor  *monitor.Service
	Release  *release.Service
	Specify  *specify.Service
	Trace    *trace.Service

	Now  func() time.Time
	Zone *time.Location // of the shop: shown dates, weeks and months
}
