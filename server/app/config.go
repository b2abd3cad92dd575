package app

import (
	"log/slog"
	"time"

	"tracewright/models/work/access"
	"tracewright/models/work/release"
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
	Sealing   release.Sealing // seals the log and signs certificates; nil: none can be issued

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
	return c
}

// onlyTLS says whether browsers are told to insist on TLS. One told so would be
// kept out for a year when the local authority is given up; own certificates are
// there to stay.
func (c Config) onlyTLS() bool { return c.TLS && c.Authority == nil }
