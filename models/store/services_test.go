package store_test

import (
	"tracewright/models/store"
	"tracewright/models/work/access"
	"tracewright/models/work/capture"
	"tracewright/models/work/gauges"
	"tracewright/models/work/monitor"
	"tracewright/models/work/receive"
	"tracewright/models/work/release"
	"tracewright/models/work/shop"
	"tracewright/models/work/specify"
	"tracewright/models/work/studies"
	"tracewright/models/work/trace"
)

// Each service names what it asks of a store; this one answers to all.
var (
	_ access.Store  = (*store.Store)(nil)
	_ capture.Store = (*store.Store)(nil)
	_ gauges.Store  = (*store.Store)(nil)
	_ monitor.Store = (*store.Store)(nil)
	_ receive.Store = (*store.Store)(nil)
	_ release.Store = (*store.Store)(nil)
	_ shop.Store    = (*store.Store)(nil)
	_ specify.Store = (*store.Store)(nil)
	_ studies.Store = (*store.Store)(nil)
	_ trace.Store   = (*store.Store)(nil)
)
