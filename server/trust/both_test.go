package trust

import (
	"bytes"
	"crypto/tls"
	"crypto/x509"
	"encoding/pem"
	"io"
	"log/slog"
	"net"
	"net/http"
	"os"
	"path/filepath"
	"syscall"
	"testing"
	"time"
)

// Both kinds of connection at one port, each answered by its own server.
func TestBothAtOnePort(t *testing.T) {
	l := newMachine(t).open(t)
	listener, err := net.Listen("tcp", "127.0.0.1:0")
	if err != nil {
		t.Fatal(err)
	}
	secure, plain := Both(listener)
	quiet := slog.NewLogLogger(slog.DiscardHandler, 0)
	said := func(text string) http.Handler {
		return http.HandlerFunc(func(w http.ResponseWriter, r *http.Request) {
			io.WriteString(w, text+" "+r.URL.Path+" cookie:"+r.Header.Get("Cookie")+" key:"+r.Header.Get("Authorization"))
		})
	}
	overTLS := &http.Server{Handler: said("secure"), ErrorLog: quiet}
	without := &http.Server{Handler: Plain(said("plain")), ErrorLog: quiet}
	done := make(chan error, 2)
	go func() { done <- overTLS.Serve(tls.NewListener(secure, l.Config())) }()
	go func() { done <- without.Serve(plain) }()

	// Whoever connects and says nothing keeps nobody waiting.
	silent, err := net.Dial("tcp", listener.Addr().String())
	if err != nil {
		t.Fatal(err)
	}
	defer silent.Close()

	roots := x509.NewCertPool()
	roots.AddCert(l.authority.certificate)
	client := &http.Client{Timeout: 5 * time.Second, Transport: &http.Transport{TLSClientConfig: &tls.Config{RootCAs: roots}}, CheckRedirect: func(*http.Request, []*http.Request) error { return http.ErrUseLastResponse }}
	host := listener.Addr().String()
	for _, test := range []struct {
		name, method, address string
		status                int
		body, location        string
	}{
		{"TLS", "POST", "https://" + host + "/signin", 200, "secure /signin cookie:c=1 key:Bearer k", ""},
		{"the page without TLS, without knowing anybody", "GET", "http://" + host + "/trust", 200, "plain /trust cookie: key:", ""},
		{"the certificate", "GET", "http://" + host + "/trust/authority.crt", 200, "plain /trust/authority.crt cookie: key:", ""},
		{"what the page looks like", "GET", "http://" + host + "/static/0/office.css", 200, "plain /static/0/office.css cookie: key:", ""},
		{"any other page", "GET", "http://" + host + "/stand?serial=W", 307, "", "https://" + host + "/stand?serial=W"},
		{"a page that begins alike", "GET", "http://" + host + "/trusted", 307, "", "https://" + host + "/trusted"},
		{"a password in the clear", "POST", "http://" + host + "/signin", 403, "This address speaks https. Nothing was taken.\n", ""},
		{"a form to the page itself", "POST", "http://" + host + "/trust", 403, "This address speaks https. Nothing was taken.\n", ""},
	} {
		t.Run(test.name, func(t *testing.T) {
			r, err := http.NewRequest(test.method, test.address, nil)
			if err != nil {
				t.Fatal(err)
			}
			r.Header.Set("Cookie", "c=1")
			r.Header.Set("Authorization", "Bearer k")
			answer, err := client.Do(r)
			if err != nil {
				t.Fatal(err)
			}
			defer answer.Body.Close()
			body, err := io.ReadAll(answer.Body)
			if err != nil || answer.StatusCode != test.status || test.body != "" && string(body) != test.body || answer.Header.Get("Location") != test.location {
				t.Errorf("%d %q to %q, %v; want %d %q to %q", answer.StatusCode, body, answer.Header.Get("Location"), err, test.status, test.body, test.location)
			}
		})
	}
	overTLS.Close()
	for range 2 {
		if err := <-done; err == nil {
			t.Error("a server ended without saying why")
		}
		without.Close()
	}
	if _, err := net.DialTimeout("tcp", host, time.Second); err == nil {
		t.Error("the port still takes connections")
	}
}

// Own files: what replaced them is shown at the next connection, and half a
// replacement is not.
func TestOwnFilesAreReadAnew(t *testing.T) {
	folder := t.TempDir()
	certFile, keyFile := filepath.Join(folder, "shop.pem"), filepath.Join(folder, "shop.key")
	write := func(t *testing.T, cert, key bool) {
		t.Helper()
		m := newMachine(t)
		m.open(t)
		raw, err := os.ReadFile(filepath.Join(m.folder, "server.pem"))
		if err != nil {
			t.Fatal(err)
		}
		block, rest := pem.Decode(raw)
		for file, content := range map[string][]byte{certFile: pem.EncodeToMemory(block), keyFile: bytes.TrimSpace(rest)} {
			if file == certFile && !cert || file == keyFile && !key {
				continue
			}
			if err := os.WriteFile(file, content, 0o600); err != nil {
				t.Fatal(err)
			}
			// Files written within one tick of the file system's clock.
			later := time.Now().Add(time.Duration(len(content)) * time.Second)
			if err := os.Chtimes(file, later, later); err != nil {
				t.Fatal(err)
			}
		}
	}
	write(t, true, true)
	at := time.Now()
	f, err := OpenFiles(certFile, keyFile, func() time.Time { return at }, slog.New(slog.DiscardHandler))
	if err != nil {
		t.Fatal(err)
	}
	first := f.current()
	write(t, true, false) // the key is still the former one
	os.Chtimes(certFile, at.Add(time.Hour), at.Add(time.Hour))
	if f.current() != first {
		t.Error("looked at the files again within ten seconds")
	}
	at = at.Add(checkFilesEvery)
	if f.current() != first {
		t.Error("half a replacement is in use")
	}
	write(t, true, true)
	os.Chtimes(keyFile, at.Add(2*time.Hour), at.Add(2*time.Hour))
	at = at.Add(checkFilesEvery)
	if f.current() == first {
		t.Error("the former certificate is still in use")
	}
	if err := os.Remove(keyFile); err != nil {
		t.Fatal(err)
	}
	second := f.current()
	at = at.Add(checkFilesEvery)
	if f.current() != second {
		t.Error("files that are gone end what was in use")
	}
	if _, err := OpenFiles(certFile, keyFile, nil, nil); err == nil {
		t.Error("begins without a key")
	}
}

// crowded is a listener that first has no room for one more connection.
type crowded struct {
	net.Listener
	failures int
}

func (c *crowded) Accept() (net.Conn, error) {
	if c.failures > 0 {
		c.failures--
		return nil, &net.OpError{Op: "accept", Net: "tcp", Err: os.NewSyscallError("accept4", syscall.EMFILE)}
	}
	return c.Listener.Accept()
}

// Too many connections at a moment turn some away, and end nothing.
func TestTooManyAtAMomentEndNothing(t *testing.T) {
	listener, err := net.Listen("tcp", "127.0.0.1:0")
	if err != nil {
		t.Fatal(err)
	}
	_, plain := Both(&crowded{listener, 3})
	defer plain.Close()
	conn, err := net.Dial("tcp", listener.Addr().String())
	if err != nil {
		t.Fatal(err)
	}
	defer conn.Close()
	io.WriteString(conn, "GET / HTTP/1.1\r\n")
	taken, err := plain.Accept()
	if err != nil {
		t.Fatalf("after it was crowded for a moment: %v", err)
	}
	taken.Close()
}

// OWASP ASVS 5.0, 12.1.1: older versions of TLS are refused.
func TestASVS_12_1_1_OnlyTLS12And13(t *testing.T) {
	l := newMachine(t).open(t)
	roots := x509.NewCertPool()
	roots.AddCert(l.authority.certificate)
	for version, want := range map[uint16]bool{tls.VersionTLS10: false, tls.VersionTLS11: false, tls.VersionTLS12: true, tls.VersionTLS13: true} {
		client, server := net.Pipe()
		done := make(chan error, 1)
		go func() { done <- tls.Server(server, l.Config()).Handshake(); server.Close() }()
		err := tls.Client(client, &tls.Config{RootCAs: roots, ServerName: "localhost", MinVersion: version, MaxVersion: version}).Handshake()
		client.Close()
		<-done
		if (err == nil) != want {
			t.Errorf("%s: %v, want taken %v", tls.VersionName(version), err, want)
		}
	}
}
