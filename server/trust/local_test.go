package trust

import (
	"crypto/tls"
	"crypto/x509"
	"encoding/pem"
	"errors"
	"io"
	"io/fs"
	"log/slog"
	"net"
	"net/http"
	"net/netip"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"testing"
	"time"
)

// machine is a host whose name, addresses and clock the test sets.
type machine struct {
	name      string
	addresses []string
	at        time.Time
	folder    string
	names     []string // given with --host
}

func newMachine(t *testing.T) *machine {
	return &machine{name: "truing-pc", addresses: []string{"127.0.0.1", "192.168.7.20", "fe80::1"}, at: time.Now().Truncate(time.Second), folder: filepath.Join(t.TempDir(), "shop.tls")}
}

func (m *machine) options() Options {
	return Options{Folder: m.folder, Names: m.names, Now: func() time.Time { return m.at }, Log: slog.New(slog.DiscardHandler), Host: Host{
		Name: func() (string, error) { return m.name, nil },
		Addresses: func() ([]netip.Addr, error) {
			var out []netip.Addr
			for _, a := range m.addresses {
				out = append(out, netip.MustParseAddr(a))
			}
			return out, nil
		},
	}}
}

func (m *machine) open(t *testing.T) *Local {
	t.Helper()
	l, err := Open(m.options())
	if err != nil {
		t.Fatal(err)
	}
	return l
}

// leaf is what a client is shown now.
func leaf(t *testing.T, l *Local) *x509.Certificate {
	t.Helper()
	got, err := l.certificate(&tls.ClientHelloInfo{})
	if err != nil {
		t.Fatal(err)
	}
	return got.Leaf
}

// trusts says whether somebody who trusts the authority accepts a name at a
// moment.
func trusts(l *Local, c *x509.Certificate, name string, at time.Time) error {
	roots := x509.NewCertPool()
	roots.AddCert(l.authority.certificate)
	_, err := c.Verify(x509.VerifyOptions{Roots: roots, DNSName: name, CurrentTime: at})
	return err
}

func TestWhatIsMade(t *testing.T) {
	m := newMachine(t)
	l := m.open(t)
	c := leaf(t, l)
	for _, name := range []string{"truing-pc", "truing-pc.local", "localhost", "127.0.0.1", "[::1]", "192.168.7.20"} {
		if err := trusts(l, c, name, m.at); err != nil {
			t.Errorf("%s: %v", name, err)
		}
	}
	for _, name := range []string{"shop.example", "192.168.7.21", "local", "other.local"} {
		if trusts(l, c, name, m.at) == nil {
			t.Errorf("the certificate stands for %s, which is not this host", name)
		}
	}
	// At most 398 days, as browsers of tablets ask for; at most 13 months.
	if life := c.NotAfter.Sub(c.NotBefore); life > 398*24*time.Hour || m.at.AddDate(0, 13, 0).Before(c.NotAfter) {
		t.Errorf("a life of %s", life)
	}
	a := l.authority.certificate
	if want := m.at.AddDate(10, 0, 0); !a.NotAfter.Equal(want) || !a.IsCA || !a.MaxPathLenZero || a.PublicKeyAlgorithm != x509.ECDSA || c.PublicKeyAlgorithm != x509.ECDSA || c.IsCA {
		t.Errorf("the authority ends on %s, want %s; CA %v, path %v; %s and %s", a.NotAfter, want, a.IsCA, a.MaxPathLenZero, a.PublicKeyAlgorithm, c.PublicKeyAlgorithm)
	}
}

// RFC 5280, 4.2.1.10: what the authority's key may be misused for.
func TestTheAuthorityMayVouchForThisHostOnly(t *testing.T) {
	m := newMachine(t)
	l := m.open(t)
	forge := func(names subjects) *x509.Certificate {
		t.Helper()
		p, err := l.newServer(m.at, names)
		if err != nil {
			t.Fatal(err)
		}
		return p.certificate
	}
	for _, test := range []struct {
		name  string
		names subjects
		as    string
		may   bool
	}{
		{"a bank", subjects{dns: []string{"bank.example"}}, "bank.example", false},
		{"a name that ends alike", subjects{dns: []string{"not-truing-pc"}}, "not-truing-pc", false},
		{"a public address", subjects{ips: []netip.Addr{netip.MustParseAddr("203.0.113.9")}}, "203.0.113.9", false},
		{"a public address of version 6", subjects{ips: []netip.Addr{netip.MustParseAddr("2001:db8::9")}}, "[2001:db8::9]", false},
		{"a bank beside this host", subjects{dns: []string{"truing-pc", "bank.example"}}, "truing-pc", false},
		{"a new private address", subjects{ips: []netip.Addr{netip.MustParseAddr("10.4.0.9")}}, "10.4.0.9", true},
		{"this host renamed, on the link", subjects{dns: []string{"stand-pc.local"}}, "stand-pc.local", true},
	} {
		t.Run(test.name, func(t *testing.T) {
			if err := trusts(l, forge(test.names), test.as, m.at); (err == nil) != test.may {
				t.Errorf("%v, may: %v", err, test.may)
			}
		})
	}
}

func TestKeysAreReadByTheirOwnerOnly(t *testing.T) {
	m := newMachine(t)
	m.open(t)
	seen := 0
	err := filepath.WalkDir(m.folder, func(file string, entry fs.DirEntry, err error) error {
		if err != nil {
			return err
		}
		info, err := entry.Info()
		if err != nil {
			return err
		}
		want := fs.FileMode(0o600)
		if entry.IsDir() {
			want = 0o700
		}
		if info.Mode().Perm() != want {
			t.Errorf("%s has mode %o, want %o", entry.Name(), info.Mode().Perm(), want)
		}
		seen++
		return nil
	})
	if err != nil || seen != 3 {
		t.Errorf("%d entries, %v; want the folder, the authority, the server", seen, err)
	}
}

func TestWhatStaysAndWhatIsRenewed(t *testing.T) {
	for _, test := range []struct {
		name            string
		change          func(t *testing.T, m *machine)
		server, replace bool // the server certificate, the authority are other ones
	}{
		{"started again", func(*testing.T, *machine) {}, false, false},
		{"31 days before the end", func(_ *testing.T, m *machine) { m.at = m.at.AddDate(0, 0, serverDays-31) }, false, false},
		{"29 days before the end", func(_ *testing.T, m *machine) { m.at = m.at.AddDate(0, 0, serverDays-29) }, true, false},
		{"long after the end", func(_ *testing.T, m *machine) { m.at = m.at.AddDate(2, 0, 0) }, true, false},
		{"another address", func(_ *testing.T, m *machine) { m.addresses[1] = "192.168.7.99" }, true, false},
		{"an address gone", func(_ *testing.T, m *machine) { m.addresses = m.addresses[:1] }, true, false},
		{"the same addresses in another order", func(_ *testing.T, m *machine) { slices.Reverse(m.addresses) }, false, false},
		{"only a link-local address more", func(_ *testing.T, m *machine) { m.addresses = append(m.addresses, "fe80::2") }, false, false},
		{"another name", func(_ *testing.T, m *machine) { m.name = "stand-pc" }, true, false},
		{"a name that the authority may not vouch for", func(_ *testing.T, m *machine) { m.names = []string{"shop.example"} }, false, false},
		{"a server file that is half written", func(t *testing.T, m *machine) {
			if err := os.WriteFile(filepath.Join(m.folder, "server.pem"), []byte("-----BEGIN"), 0o600); err != nil {
				t.Fatal(err)
			}
		}, true, false},
		{"the authority has ended", func(_ *testing.T, m *machine) { m.at = m.at.AddDate(10, 0, 1) }, true, true},
	} {
		t.Run(test.name, func(t *testing.T) {
			m := newMachine(t)
			before := m.open(t)
			was := leaf(t, before)
			test.change(t, m)
			after := m.open(t)
			c := leaf(t, after)
			if got := !c.Equal(was); got != test.server {
				t.Errorf("a new server certificate: %v, want %v", got, test.server)
			}
			if got := !after.authority.certificate.Equal(before.authority.certificate); got != test.replace {
				t.Errorf("a new authority: %v, want %v", got, test.replace)
			}
			for _, name := range after.Names() {
				if err := trusts(after, c, name, m.at); err != nil {
					t.Errorf("%s: %v", name, err)
				}
			}
			if err := trusts(after, c, m.addresses[len(m.addresses)-1], m.at); err != nil && !strings.HasPrefix(m.addresses[len(m.addresses)-1], "fe80") {
				t.Errorf("the address of now: %v", err)
			}
		})
	}
}

// Near its own end the authority signs nothing that outlives it.
func TestNothingOutlivesTheAuthority(t *testing.T) {
	m := newMachine(t)
	end := m.open(t).authority.certificate.NotAfter
	m.at = end.AddDate(0, 0, -10)
	l := m.open(t)
	c := leaf(t, l)
	if !c.NotAfter.Equal(end) {
		t.Errorf("ends on %s, the authority on %s", c.NotAfter, end)
	}
	if again := leaf(t, m.open(t)); !again.Equal(c) {
		t.Error("in the authority's last days every start makes a new certificate")
	}
}

func TestAnAuthorityThatCannotBeReadIsNotReplaced(t *testing.T) {
	m := newMachine(t)
	m.open(t)
	file := filepath.Join(m.folder, "authority.pem")
	raw, err := os.ReadFile(file)
	if err != nil {
		t.Fatal(err)
	}
	certificate, _ := pem.Decode(raw)
	for name, content := range map[string][]byte{"nothing in it": {}, "no key": pem.EncodeToMemory(certificate), "text": []byte("hello")} {
		if err := os.WriteFile(file, content, 0o600); err != nil {
			t.Fatal(err)
		}
		if _, err := Open(m.options()); !errors.Is(err, errPair) {
			t.Errorf("%s: %v, want %v", name, err, errPair)
		}
		if now, err := os.ReadFile(file); err != nil || string(now) != string(content) {
			t.Errorf("%s: the file was written over (%v)", name, err)
		}
	}
}

// Over a real connection: a client that trusts the authority goes on doing so
// while certificate after certificate ends, and when the address changes.
func TestAClientNoticesNoRenewal(t *testing.T) {
	m := newMachine(t)
	m.addresses = []string{"192.168.7.20"} // 127.0.0.1 is always there
	l := m.open(t)
	listener, err := net.Listen("tcp", "127.0.0.1:0")
	if err != nil {
		t.Fatal(err)
	}
	server := &http.Server{Handler: http.HandlerFunc(func(w http.ResponseWriter, r *http.Request) { io.WriteString(w, "here") }), ErrorLog: slog.NewLogLogger(slog.DiscardHandler, 0)}
	go server.Serve(tls.NewListener(listener, l.Config()))
	t.Cleanup(func() { server.Close() })
	roots := x509.NewCertPool()
	authority, err := x509.ParseCertificate(l.Authority())
	if err != nil {
		t.Fatal(err)
	}
	roots.AddCert(authority)
	ask := func() (*x509.Certificate, error) {
		transport := &http.Transport{TLSClientConfig: &tls.Config{RootCAs: roots, Time: func() time.Time { return m.at }}, ForceAttemptHTTP2: true}
		defer transport.CloseIdleConnections()
		answer, err := (&http.Client{Transport: transport}).Get("https://" + listener.Addr().String())
		if err != nil {
			return nil, err
		}
		defer answer.Body.Close()
		if answer.ProtoMajor != 2 {
			t.Errorf("spoke %s, want HTTP/2", answer.Proto)
		}
		return answer.TLS.PeerCertificates[0], nil
	}
	var serials []string
	for year := range 9 { // the tenth is the authority's last
		c, err := ask()
		if err != nil {
			t.Fatalf("in year %d: %v", year, err)
		}
		serials = append(serials, c.SerialNumber.String())
		m.at = m.at.AddDate(1, 2, 0) // beyond its end
		if year == 8 {
			m.at = authority.NotAfter.AddDate(0, 0, -1)
		}
	}
	slices.Sort(serials)
	if n := len(slices.Compact(serials)); n < 8 {
		t.Errorf("%d certificates in nine steps, want a new one each", n)
	}
	if _, err := ask(); err != nil {
		t.Errorf("on the authority's last day: %v", err)
	}
}

// A connection that arrives at an address nobody knew makes the server look
// again, and not at every connection.
func TestANewAddressIsSeenAtTheNextConnection(t *testing.T) {
	m := newMachine(t)
	l := m.open(t)
	m.addresses[1] = "192.168.7.50"
	m.at = m.at.Add(2 * lookAgain)
	at := func(address string) *tls.ClientHelloInfo {
		return &tls.ClientHelloInfo{Conn: addressed{local: net.TCPAddrFromAddrPort(netip.MustParseAddrPort(address))}}
	}
	got, err := l.certificate(at("192.168.7.50:8443"))
	if err != nil || trusts(l, got.Leaf, "192.168.7.50", m.at) != nil {
		t.Errorf("the first connection to the new address: %v", err)
	}
	m.addresses[1] = "192.168.7.60"
	again, err := l.certificate(at("192.168.7.60:8443"))
	if err != nil || !again.Leaf.Equal(got.Leaf) {
		t.Errorf("within a minute it was looked twice (%v)", err)
	}
	m.at = m.at.Add(lookAgain)
	if third, err := l.certificate(at("192.168.7.60:8443")); err != nil || trusts(l, third.Leaf, "192.168.7.60", m.at) != nil {
		t.Errorf("a minute later: %v", err)
	}
}

type addressed struct {
	net.Conn
	local net.Addr
}

func (a addressed) LocalAddr() net.Addr { return a.local }

// The digest of three letters, from FIPS 180-2, B.1.
func TestFingerprint(t *testing.T) {
	const want = "BA78 16BF 8F01 CFEA 4141 40DE 5DAE 2223 B003 61A3 9617 7A9C B410 FF61 F200 15AD"
	if got := Fingerprint([]byte("abc")); got != want {
		t.Errorf("%s, want %s", got, want)
	}
	if got := Fingerprint(nil); got != "" {
		t.Errorf("of nothing: %s", got)
	}
}
