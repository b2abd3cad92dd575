package store_test

import (
	"strings"
	"testing"

	"tracewright/models/store/storetest"
	"tracewright/models/work/worktest"
)

// An address may have statements sent unprepared, as some poolers want it: PostgreSQL
// has then not said which types it expects, and the program knows those it sends.
func TestStatementsSentUnprepared(t *testing.T) {
	for _, mode := range []string{"exec", "simple_protocol"} {
		t.Run(mode, func(t *testing.T) {
			dsn, mode := storetest.NeedPostgres(t), "default_query_exec_mode="+mode
			switch {
			case !strings.Contains(dsn, "://"):
				dsn += " " + mode
			case strings.Contains(dsn, "?"):
				dsn += "&" + mode
			default:
				dsn += "?" + mode
			}
			h := worktest.On(t, storetest.Open(t, dsn))
			made := h.MustRecord(h.Extremes()).Inspection
			again := h.Extremes()
			again.Corrects, again.Reason = made.ID, "misread"
			h.MustRecord(again)
			if n := h.Count(made.ItemID); n != 2 {
				t.Errorf("%d inspections, want the first and the one in its place", n)
			}
		})
	}
}
