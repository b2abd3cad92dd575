package app

import (
	"context"
	"log/slog"
	"os"
	"time"

	"tracewright/models/store"
	"tracewright/models/work/access"
	"tracewright/models/work/backup"
	"tracewright/models/work/release"
	"tracewright/models/work/sealing"
	"tracewright/server/metrics"
)

// Config is what a start may set.
type Config struct {
	Database string   // sqlite:PATH, postgres://..., or libpq keywords
	Hosts    []string // names under which browsers reach this server, beside its addresses
	TLS      bool     // answers are sent over TLS: cookies are marked so
	// Authority is the certificate, DER, of the local authority that the
	// server's own was made by; tablets must be told to trust it. Nil where the
	// shop has a certificate of its own.
	Authority []byte
	Proxied   bool   // a proxy on this machine says where requests come from
	DemoAs    string // id of the person everybody is, in the demo alone
	Version   string

	// StrangersAtOnce is how many requests a client that nobody is signed in at may
	// send at once; 0: the usual.
	StrangersAtOnce int

	// Keys sign the log of changes and certificates; nil: nothing is sealed here.
	// Copies take checkpoints outside the database; nil: nowhere.
	Keys    sealing.Keys
	Copies  sealing.Copies
	Server  string          // name of this host, as the list of keys shows it
	Sealing release.Sealing // signs certificates where there are no Keys, as in tests; nil: none can be issued

	// BeforeUpgrade runs before the schema of a database with records changes, and
	// AfterUpgrade behind that; when the first fails, nothing is changed. Nil: nothing.
	BeforeUpgrade func(context.Context, *store.Store) error
	AfterUpgrade  func(context.Context) error
	// Backups is where backups are made, day by day; nil: the program makes none.
	Backups func(*store.Store) backup.Place
	// RecoveryKeys makes keys that open backups; nil: none is made on the pages.
	RecoveryKeys backup.Keys

	// Metrics counts what is done; nil: nothing is counted.
	Metrics *metrics.Metrics
	// StopDelay is how long the server still answers once it is told to stop, saying
	// that it is not ready.
	StopDelay time.Duration

	Log  *slog.Logger
	Now  func() time.Time
	Cost access.Cost // of password hashes; zero is the shop's
}

func (c Config) settled() Config {
	if c.Log == nil {
		c.Log = slog.Default()
	}
	if c.Now == nil {
		c.Now = time.Now
	}
	if c.Server == "" {
		c.Server = hostName()
	}
	return c
}

// onlyTLS says whether browsers are told to insist on TLS. One told so would be
// kept out for a year when the local authority is given up; own certificates are
// there to stay.
func (c Config) onlyTLS() bool { return c.TLS && c.Authority == nil }

func hostName() string {
	if name, err := os.Hostname(); err == nil && name != "" {
		return name
	}
	return "this server"
}
