package main

import (
	"context"
	"crypto/tls"
	"errors"
	"fmt"
	"io"
	"net"
	"time"

	"tracewright/models"
	"tracewright/models/store"
	"tracewright/models/work/backup"
	"tracewright/server/app"
	"tracewright/server/logs"
)

// databaseFlag is the same for every command that opens a database.
type databaseFlag struct {
	Database string `help:"Where the records lie: sqlite:PATH or postgres://USER@HOST/NAME." placeholder:"URL" required:"" env:"TRACEWRIGHT_DATABASE"`
}

type serveCommand struct {
	databaseFlag
	Listen string   `help:"Address to listen on." default:"127.0.0.1:8080" env:"TRACEWRIGHT_LISTEN"`
	Host   []string `help:"Name under which browsers reach this server, if it is not its address; may be repeated." placeholder:"NAME" env:"TRACEWRIGHT_HOST"`
	tlsFlags
	keysFlag
	upgradeFlags
	NoDailyBackups bool   `help:"Make no backup each day: another program makes them." env:"TRACEWRIGHT_NO_DAILY_BACKUPS"`
	Checkpoints    string `help:"Folder outside the database for copies of checkpoints and public keys, best on another machine or a disk of its own; by default none." placeholder:"FOLDER" type:"path" env:"TRACEWRIGHT_CHECKPOINTS"`
	PublicListen   string `help:"Address on which strangers look certificates up, and reach nothing else; by default nowhere." placeholder:"HOST:PORT" env:"TRACEWRIGHT_PUBLIC_LISTEN"`
	Proxied        bool   `help:"A proxy on this machine speaks TLS in front of this server: mark cookies for TLS only, and take browsers' addresses from its X-Forwarded-For." env:"TRACEWRIGHT_PROXIED"`
	Verbose        bool   `help:"Log refusals and what led to them." env:"TRACEWRIGHT_VERBOSE"`
	LogFormat      string `help:"How the log is written: ${enum}." enum:"text,json" default:"text" env:"TRACEWRIGHT_LOG_FORMAT"`
	metricsFlags
	StopDelay time.Duration `help:"Told to stop, answer for so long before no new connection is taken, while /readyz says no: for a proxy that sends work elsewhere." default:"0s" env:"TRACEWRIGHT_STOP_DELAY"`
}

// Help tells what the one line above cannot.
func (serveCommand) Help() string {
	return `The schema is brought up to date first. In a new database nobody is known yet: the address at which the first owner sets name and password is printed once.

  tracewright serve --database sqlite:/srv/tracewright/shop.db
  tracewright serve --database sqlite:/srv/tracewright/shop.db --listen 0.0.0.0:8443 --tls auto
  tracewright serve --database postgres://tracewright@db/shop \
      --keys /srv/tracewright/keys --listen 0.0.0.0:8443 --host shop.example --tls-cert shop.pem --tls-key shop.key

By default only this machine can reach it. Open it to a network with --listen, and then with TLS, from here or from a proxy: otherwise passwords cross the network in the clear.

With --tls auto this host makes an authority of its own, once, in a folder beside the database, and renews the server's certificate by itself. Each tablet trusts the authority once: open http://THIS-HOST:PORT/trust on it and compare the fingerprint with the one printed here. Whoever can read that folder can pass for this server: keep it like the database.

With --public-listen, whoever holds the paper of a certificate sees on a listener of its own whether it is in force. It speaks TLS by --tls-cert; otherwise put a proxy in front that does, and name its address on the page "The shop" as the public address: certificates issued from then on carry it.

The log of changes is sealed with a key of this server, made at the first start in a folder beside the SQLite file, or where --keys says; "tracewright keys" lists, changes and enrols keys. Whoever holds that folder and the database can write the log anew: it goes into encrypted backups alone. With --checkpoints a signed line goes outside the database each hour and with each certificate; against it, a log that was cut or written anew is found out.

A backup is made each day by itself, at night or once the last is a day old, into a folder beside the SQLite file or the folder of keys, or the one that --backups names; 7 days, 5 weeks and 12 months are kept. PostgreSQL is copied by its own pg_dump, which has to be here; of several servers on one database, one makes the backup. --no-daily-backups leaves that to another program. Make the recovery key first, where the first owner is led, or by "tracewright backup --new-key": backups are encrypted to it. Before the schema of an older database is brought up to date, a backup is made too.

On SIGTERM or Ctrl-C what is in flight finishes, what changed is sealed, then the database is closed.`
}

// Run serves until it is told to stop.
func (s *serveCommand) Run(ctx context.Context, std streams) error {
	if err := store.CheckDSN(s.Database); err != nil {
		return err // before any flag that it seems to need is asked for
	}
	log := logs.New(std.err, s.LogFormat, s.Verbose)
	listener, err := (&net.ListenConfig{}).Listen(ctx, "tcp", s.Listen) // before anything is done to the database
	if err != nil {
		return fmt.Errorf("listen on %s: %w", s.Listen, err)
	}
	public, err := listenPublic(ctx, s.PublicListen)
	if err != nil {
		listener.Close()
		return err
	}
	counted, err := s.metricsFlags.listen(ctx)
	if err != nil {
		listener.Close()
		return errors.Join(err, closed(public))
	}
	begun := false
	defer func() {
		if begun {
			return
		}
		listener.Close()
		closed(public)
		counted.close()
	}()
	folder, err := s.keysFlag.folder(s.Database)
	if err != nil {
		return err // before anybody waits for a database
	}
	if err := s.refuseLost(ctx, folder, s.Keys, s.TLSFolder); err != nil {
		return err
	}
	if err := s.refuseOthers(ctx); err != nil {
		return err
	}
	speaks, err := s.speak(s.Database, s.Host, log) // which may make an authority
	if err != nil {
		return err
	}
	scheme := "http"
	if speaks.config != nil {
		scheme = "https"
	}
	keys, err := s.keysFlag.open(s.Database)
	if err != nil {
		return err
	}
	up := &upgrade{flags: s.upgradeFlags, database: s.Database, keys: keys.Place(), tls: s.TLSFolder, out: std.out}
	a, err := app.Open(ctx, app.Config{BeforeUpgrade: up.before, AfterUpgrade: up.after, Backups: s.daily(keys.Place()), RecoveryKeys: recoveryKeys{},
		Database: s.Database, Hosts: append(speaks.names, s.Host...), TLS: scheme == "https" || s.Proxied, Authority: speaks.authority, Proxied: s.Proxied,
		Keys: keys, Copies: copiesTo(s.Checkpoints), Version: version(), Metrics: counted.metrics(), StopDelay: s.StopDelay, Log: log})
	if err != nil {
		return explain(err, typedFlags(s.Database, s.Keys))
	}
	if scheme == "http" && !s.Proxied && !loopback(listener.Addr()) {
		log.Warn("answers over plain HTTP to a network: passwords can be read on it; see --tls and --proxied", "address", listener.Addr().String())
	}
	address := scheme + "://" + reachable(listener.Addr())
	if err := inviteOwner(ctx, a, std.out, address); err != nil {
		a.Close()
		return err
	}
	if key, err := a.Services.Backups.PublicKey(ctx); err == nil && key == "" {
		fmt.Fprintln(std.out, "Backups are not encrypted yet. Make the recovery key, once, and print it: under Backups in the menu, or tracewright backup --new-key --sheet recovery-key.pdf")
	}
	if public != nil {
		public = speaks.public(public, s.Proxied, std.out, log)
	}
	begun = true
	if speaks.authority != nil {
		speaks.invite(std.out, listener.Addr())
		listener = speaks.beside(ctx, listener, a.Handler, log)
		go speaks.keep(ctx)
	}
	if speaks.config != nil {
		listener = tls.NewListener(listener, speaks.config)
	}
	fmt.Fprintf(std.out, "Tracewright answers at %s\n", address)
	counted.serve(std.out, log)
	defer counted.close()
	defer tellManager(ctx, log)()
	return a.Run(ctx, listener, public)
}

// closed closes a listener that may not be there.
func closed(l net.Listener) error {
	if l == nil {
		return nil
	}
	return l.Close()
}

// daily is where a server makes its backups, unless it is told to make none.
func (s *serveCommand) daily(keys string) func(*store.Store) backup.Place {
	if folder, _ := s.backupsFlag.folder(s.Database, keys); folder == "" || s.NoDailyBackups {
		return nil
	}
	return func(opened *store.Store) backup.Place {
		return s.placeFor(opened, s.Database, keys, s.TLSFolder)
	}
}

// inviteOwner prints the one-time address for the first owner of a new shop.
func inviteOwner(ctx context.Context, a *app.App, out io.Writer, address string) error {
	token, err := a.Services.Access.FirstOwnerLink(ctx)
	if errors.Is(err, models.ErrConflict) {
		return nil
	}
	if err != nil {
		return err
	}
	fmt.Fprintf(out, "This shop has no owner yet. Within 24 hours, once, open\n\n  %s/setup/%s\n\n", address, token)
	return nil
}

// reachable is a listening address as this machine's browser would type it.
func reachable(addr net.Addr) string {
	host, port, err := net.SplitHostPort(addr.String())
	if err != nil {
		return addr.String()
	}
	if ip := net.ParseIP(host); ip != nil && ip.IsUnspecified() {
		host = "localhost"
	}
	return net.JoinHostPort(host, port)
}

func loopback(addr net.Addr) bool {
	tcp, ok := addr.(*net.TCPAddr)
	return ok && tcp.IP.IsLoopback()
}
