package trust

import (
	"context"
	"crypto/ecdsa"
	"crypto/elliptic"
	"crypto/rand"
	"crypto/tls"
	"crypto/x509"
	"crypto/x509/pkix"
	"fmt"
	"log/slog"
	"net"
	"net/netip"
	"os"
	"path/filepath"
	"slices"
	"sync"
	"time"
)

const (
	// serverDays is the life of a server certificate: browsers of tablets refuse
	// one of more than 398 days.
	serverDays = 390
	// renewBefore is how long before its end a server certificate is replaced.
	renewBefore = 30 * 24 * time.Hour
	// lookEvery is how often end, names and addresses are looked at.
	lookEvery = 24 * time.Hour
	// lookAgain is the least time between two looks that a stranger address
	// leads to: a connection must not cost a signature each time.
	lookAgain = time.Minute
	// warnBefore is how long before the authority's end the log speaks of it.
	warnBefore = 365 * 24 * time.Hour
)

// Options say where a local authority is kept and whom it speaks for.
type Options struct {
	Folder string   // made where it is missing, for its owner alone
	Names  []string // of this server, beside the host's own
	Host   Host
	Now    func() time.Time
	Log    *slog.Logger
}

// Local is a local authority with the server certificate in use.
type Local struct {
	options   Options
	authority pair

	mu     sync.RWMutex
	server *tls.Certificate
	names  subjects
	looked time.Time
}

// Open reads or makes the authority and a server certificate that is good now.
func Open(o Options) (*Local, error) {
	o.Host = o.Host.settled()
	if o.Now == nil {
		o.Now = time.Now
	}
	if o.Log == nil {
		o.Log = slog.Default()
	}
	if err := os.MkdirAll(o.Folder, 0o700); err != nil {
		return nil, fmt.Errorf("make the folder for the local authority: %w", err)
	}
	names, err := subjectsOf(o.Host, o.Names)
	if err != nil {
		return nil, fmt.Errorf("ask this host for its names and addresses: %w", err)
	}
	l := &Local{options: o}
	if l.authority, err = settleAuthority(filepath.Join(o.Folder, authorityFile), o.Now(), names); err != nil {
		return nil, err
	}
	if err := l.Look(); err != nil {
		return nil, err
	}
	return l, nil
}

// Authority is the authority's certificate, DER, for tablets to trust.
func (l *Local) Authority() []byte { return l.authority.certificate.Raw }

// Names are the names the certificate in use stands for, for the server's list
// of hosts it answers to.
func (l *Local) Names() []string {
	l.mu.RLock()
	defer l.mu.RUnlock()
	return slices.Clone(l.names.dns)
}

// Addresses are those the certificate in use stands for and at which other
// machines reach this one.
func (l *Local) Addresses() []netip.Addr {
	l.mu.RLock()
	defer l.mu.RUnlock()
	return slices.DeleteFunc(slices.Clone(l.names.ips), netip.Addr.IsLoopback)
}

// Config is for a listener of the server.
func (l *Local) Config() *tls.Config {
	return &tls.Config{GetCertificate: l.certificate, MinVersion: tls.VersionTLS12, NextProtos: []string{"h2", "http/1.1"}}
}

// Run looks once a day until ctx ends. A look that fails is written down, and
// what was good before stays in use.
func (l *Local) Run(ctx context.Context) {
	tick := time.NewTicker(lookEvery)
	defer tick.Stop()
	for {
		select {
		case <-ctx.Done():
			return
		case <-tick.C:
			if err := l.Look(); err != nil {
				l.options.Log.Error("the server certificate could not be renewed", "cause", err)
			}
		}
	}
}

// certificate answers a handshake. A connection that arrived at an address the
// certificate does not know means that the address is new: it is looked at once
// more before the tablet is told anything.
func (l *Local) certificate(hello *tls.ClientHelloInfo) (*tls.Certificate, error) {
	l.mu.RLock()
	server, names, looked := l.server, l.names, l.looked
	l.mu.RUnlock()
	now := l.options.Now()
	ended := !now.Before(server.Leaf.NotAfter)
	if (ended || stranger(hello, names)) && now.Sub(looked).Abs() >= lookAgain {
		if err := l.Look(); err != nil {
			l.options.Log.Error("the server certificate could not be renewed", "cause", err)
		}
		l.mu.RLock()
		defer l.mu.RUnlock()
		return l.server, nil
	}
	return server, nil
}

func stranger(hello *tls.ClientHelloInfo, names subjects) bool {
	if hello.Conn == nil {
		return false
	}
	at, err := netip.ParseAddrPort(hello.Conn.LocalAddr().String())
	if err != nil {
		return false
	}
	ip := at.Addr().Unmap().WithZone("")
	return !ip.IsLinkLocalUnicast() && !slices.Contains(names.ips, ip)
}

// Look asks the host for its names and addresses and makes a new server
// certificate where the one in use will soon end or stands for others.
func (l *Local) Look() error {
	now := l.options.Now()
	l.mu.Lock()
	defer l.mu.Unlock()
	l.looked = now // also of a look that fails: it is not tried at every connection
	names, err := subjectsOf(l.options.Host, l.options.Names)
	if err != nil {
		return fmt.Errorf("ask this host for its names and addresses: %w", err)
	}
	names = l.within(names)
	if end := l.authority.certificate.NotAfter; end.Sub(now) < warnBefore {
		l.options.Log.Warn("the local authority ends; start anew after that day and let every tablet trust the new one", "on", end.Format(time.DateOnly))
	}
	file := filepath.Join(l.options.Folder, ServerFile)
	server, err := readPair(file)
	if err != nil || !l.good(server.certificate, names, now) {
		if server, err = l.newServer(now, names); err != nil {
			return err
		}
		if err := writePair(file, server); err != nil {
			return err
		}
		l.options.Log.Info("made a server certificate", "names", names.dns, "addresses", names.ips, "until", server.certificate.NotAfter.Format(time.DateOnly))
	}
	l.names = names
	l.server = &tls.Certificate{Certificate: [][]byte{server.certificate.Raw, l.authority.certificate.Raw}, PrivateKey: server.key, Leaf: server.certificate}
	return nil
}

// within leaves out what the authority may not vouch for: a certificate that
// names it would be refused as a whole.
func (l *Local) within(names subjects) subjects {
	var out []string
	kept := subjects{host: names.host}
	for _, n := range names.dns {
		if vouchesFor(l.authority.certificate, n, nil) {
			kept.dns = append(kept.dns, n)
		} else {
			out = append(out, n)
		}
	}
	for _, ip := range names.ips {
		if vouchesFor(l.authority.certificate, "", ip.AsSlice()) {
			kept.ips = append(kept.ips, ip)
		} else {
			out = append(out, ip.String())
		}
	}
	if len(out) > 0 {
		l.options.Log.Warn("the local authority may not vouch for these; under them browsers will warn. Move its folder away to have one made that may", "names", out, "folder", l.options.Folder)
	}
	return kept
}

// good says whether a server certificate is this authority's, stands for just
// these names, and does not end soon.
func (l *Local) good(c *x509.Certificate, names subjects, now time.Time) bool {
	if c.CheckSignatureFrom(l.authority.certificate) != nil || now.Before(c.NotBefore) {
		return false
	}
	left := c.NotAfter.Sub(now)
	// In the authority's last days nothing longer can be had.
	if left < renewBefore && c.NotAfter.Before(l.authority.certificate.NotAfter) || left <= 0 {
		return false
	}
	var ips []netip.Addr
	for _, ip := range c.IPAddresses {
		if a, ok := netip.AddrFromSlice(ip); ok {
			ips = append(ips, a.Unmap())
		}
	}
	dns := slices.Clone(c.DNSNames)
	slices.Sort(dns)
	slices.SortFunc(ips, netip.Addr.Compare)
	return slices.Equal(dns, names.dns) && slices.Equal(ips, names.ips)
}

func (l *Local) newServer(now time.Time, names subjects) (pair, error) {
	key, err := ecdsa.GenerateKey(elliptic.P256(), rand.Reader)
	if err != nil {
		return pair{}, fmt.Errorf("make the server's key: %w", err)
	}
	serial, err := serialNumber()
	if err != nil {
		return pair{}, err
	}
	end := now.AddDate(0, 0, serverDays)
	if last := l.authority.certificate.NotAfter; end.After(last) {
		end = last
	}
	ips := make([]net.IP, len(names.ips))
	for i, ip := range names.ips {
		ips[i] = ip.AsSlice()
	}
	return sign(&x509.Certificate{
		SerialNumber: serial, Subject: pkix.Name{CommonName: "Tracewright server"},
		NotBefore: now.Add(-backdated).UTC(), NotAfter: end.UTC(), BasicConstraintsValid: true,
		KeyUsage: x509.KeyUsageDigitalSignature, ExtKeyUsage: []x509.ExtKeyUsage{x509.ExtKeyUsageServerAuth},
		DNSNames: names.dns, IPAddresses: ips,
	}, &l.authority, key)
}
