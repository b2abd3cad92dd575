package main

import (
	"context"
	"crypto/tls"
	"errors"
	"fmt"
	"io"
	"log/slog"
	"net"
	"net/http"
	"net/netip"
	"time"

	"tracewright/server/trust"
)

// tlsFlags say how a server speaks TLS.
type tlsFlags struct {
	TLS       string `help:"How to speak TLS: 'auto' with an authority of this host's own, 'files' with --tls-cert and --tls-key, 'off'. By default 'files' where they are given, otherwise 'off'." placeholder:"auto|files|off" enum:",auto,files,off" default:"" env:"TRACEWRIGHT_TLS" name:"tls"`
	TLSCert   string `help:"Certificate chain for TLS, PEM; read anew when it changes." placeholder:"FILE" type:"existingfile" env:"TRACEWRIGHT_TLS_CERT" and:"tls"`
	TLSKey    string `help:"Private key for TLS, PEM." placeholder:"FILE" type:"existingfile" env:"TRACEWRIGHT_TLS_KEY" and:"tls"`
	TLSFolder string `help:"Where --tls auto keeps its authority. By default a folder beside the SQLite file." placeholder:"FOLDER" type:"path" env:"TRACEWRIGHT_TLS_FOLDER"`
}

// speaks is what was made of the flags.
type speaks struct {
	config    *tls.Config // nil: plain HTTP
	authority []byte      // of --tls auto, DER
	names     []string    // the host's own, under --tls auto
	addresses []netip.Addr
	keep      func(ctx context.Context)
}

// speak reads or makes what TLS needs.
func (f tlsFlags) speak(database string, names []string, log *slog.Logger) (speaks, error) {
	switch f.TLS {
	case "auto":
		if f.TLSCert != "" {
			return speaks{}, &exitError{2, "tracewright: --tls auto makes a certificate of its own: leave --tls-cert and --tls-key away, or say --tls files"}
		}
		folder, err := f.folder(database)
		if err != nil {
			return speaks{}, err
		}
		local, err := trust.Open(trust.Options{Folder: folder, Names: names, Log: log})
		if err != nil {
			return speaks{}, fmt.Errorf("--tls auto: %w", err)
		}
		return speaks{config: local.Config(), authority: local.Authority(), names: local.Names(), addresses: local.Addresses(), keep: local.Run}, nil
	case "files":
		if f.TLSCert == "" {
			return speaks{}, &exitError{2, "tracewright: --tls files needs --tls-cert and --tls-key"}
		}
	case "off":
		if f.TLSCert != "" {
			return speaks{}, &exitError{2, "tracewright: --tls off and --tls-cert contradict each other"}
		}
	}
	if f.TLSCert == "" {
		return speaks{}, nil
	}
	files, err := trust.OpenFiles(f.TLSCert, f.TLSKey, nil, log)
	if err != nil {
		return speaks{}, err
	}
	return speaks{config: files.Config()}, nil
}

// folder is where the authority lies: shop.db has its beside it in shop.tls.
func (f tlsFlags) folder(database string) (string, error) {
	if f.TLSFolder != "" {
		return f.TLSFolder, nil
	}
	folder := beside(database, ".tls")
	if folder == "" {
		return "", &exitError{2, "tracewright: --tls auto with this database needs --tls-folder: the folder where the authority is kept"}
	}
	return folder, nil
}

// invite tells on the console where tablets learn to trust this server, and
// what to compare there.
func (s speaks) invite(out io.Writer, at net.Addr) {
	where := []string{reachable(at)}
	if host, port, err := net.SplitHostPort(at.String()); err == nil && net.ParseIP(host).IsUnspecified() && len(s.addresses) > 0 {
		where = nil
		for _, a := range s.addresses {
			where = append(where, net.JoinHostPort(a.String(), port))
		}
	}
	fmt.Fprintln(out, "Once on each tablet, so that it trusts this server, open")
	for _, w := range where {
		fmt.Fprintf(out, "\n  http://%s%s", w, trust.Path)
	}
	fmt.Fprintf(out, "\n\nand compare there the SHA-256 fingerprint\n\n  %s\n\n", trust.Fingerprint(s.authority))
}

// beside answers without TLS at the same port, for tablets that do not trust
// the local authority yet. It takes what begins without a handshake, and gives
// back what begins with one.
func (s speaks) beside(ctx context.Context, listener net.Listener, handler http.Handler, log *slog.Logger) net.Listener {
	secure, plain := trust.Both(listener)
	server := &http.Server{
		Handler: trust.Plain(handler), ReadHeaderTimeout: 10 * time.Second, ReadTimeout: 20 * time.Second, WriteTimeout: 20 * time.Second, IdleTimeout: 20 * time.Second,
		MaxHeaderBytes: 16 << 10, ErrorLog: slog.NewLogLogger(log.Handler(), slog.LevelDebug),
	}
	go func() {
		if err := server.Serve(plain); err != nil && !errors.Is(err, http.ErrServerClosed) && !errors.Is(err, net.ErrClosed) && ctx.Err() == nil {
			log.Error("the page that helps tablets to trust this server is not answered without TLS any more", "cause", err)
		}
	}()
	context.AfterFunc(ctx, func() {
		// Nothing that it answers takes long, and nothing is stored.
		stopping, cancel := context.WithTimeout(context.WithoutCancel(ctx), time.Second)
		defer cancel()
		if server.Shutdown(stopping) != nil {
			server.Close()
		}
	})
	return secure
}
