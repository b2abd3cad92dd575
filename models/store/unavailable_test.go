package store

import (
	"context"
	"database/sql/driver"
	"errors"
	"fmt"
	"io"
	"net"
	"os"
	"syscall"
	"testing"

	"github.com/jackc/pgx/v5/pgconn"

	"tracewright/models"
)

// SQLSTATEs are those of appendix A of PostgreSQL's manual.
func TestWhatSaysThatTheDatabaseIsUnavailable(t *testing.T) {
	state := func(code string) error { return fmt.Errorf("query: %w", &pgconn.PgError{Code: code}) }
	for _, c := range []struct {
		name string
		err  error
		want string
	}{
		{"admin_shutdown", state("57P01"), models.DatabaseAway},
		{"crash_shutdown", state("57P02"), models.DatabaseAway},
		{"cannot_connect_now", state("57P03"), models.DatabaseAway},
		{"connection_failure", state("08006"), models.DatabaseAway},
		{"too_many_connections", state("53300"), models.DatabaseBusy},
		{"disk_full", state("53100"), models.DiskFull},
		{"read_only_sql_transaction", state("25006"), models.DiskReadOnly},
		{"io_error", state("58030"), models.DiskFailing},
		{"data_corrupted", state("XX001"), models.DatabaseDamaged},
		{"query_canceled", state("57014"), models.DatabaseBusy},
		{"syntax_error is our own fault", state("42601"), ""},
		{"unique_violation says something else", state("23505"), ""},
		{"deadlock_detected says something else", state("40P01"), ""},
		{"a connection that broke", driver.ErrBadConn, models.DatabaseAway},
		{"an end in the middle", fmt.Errorf("receive: %w", io.ErrUnexpectedEOF), models.DatabaseAway},
		{"nobody there", &net.OpError{Op: "dial", Err: os.NewSyscallError("connect", syscall.ECONNREFUSED)}, models.DatabaseAway},
		{"the end of a request's own time", fmt.Errorf("query: %w", context.DeadlineExceeded), ""},
		{"whoever asked has gone", fmt.Errorf("query: %w", context.Canceled), ""},
		{"anything else", errors.New("x"), ""},
		{"nothing", nil, ""},
	} {
		if got := unavailable(c.err); got != c.want {
			t.Errorf("%s: %q, want %q", c.name, got, c.want)
		}
	}
	var away *models.UnavailableError
	if err := fault(state("53100"), "add"); !errors.As(err, &away) || away.Code != models.DiskFull || !models.OnlyReadable(err) {
		t.Errorf("a full disk becomes %v", err)
	}
	var pg *pgconn.PgError
	if err := fault(state("53100"), "add"); errors.As(err, &pg) {
		t.Error("the database's own error can be taken apart")
	}
}
