package main

import (
	"bufio"
	"context"
	"crypto/tls"
	"crypto/x509"
	"errors"
	"io"
	"log/slog"
	"net/http"
	"net/http/cookiejar"
	"net/url"
	"os"
	"path/filepath"
	"regexp"
	"strings"
	"testing"
	"time"

	"tracewright/server/trust"
)

// The first day of a shop with an authority of its own: a tablet fetches the
// certificate in the clear and compares it, the owner sets up over TLS, a gauge
// gets a key and is heard, and the server stops with a page still listening.
func TestAuthorityOfItsOwn(t *testing.T) {
	if testing.Short() {
		t.Skip("hashes a password at its full cost")
	}
	folder := t.TempDir()
	s := serveCommand{databaseFlag: databaseFlag{Database: "sqlite:" + filepath.Join(folder, "shop.db")}, tlsFlags: tlsFlags{TLS: "auto"}}
	said, stop := startServe(t, s, "Tracewright answers at https://")
	link := setupAt.FindString(said)
	secure, err := url.Parse(link)
	if err != nil || secure.Scheme != "https" {
		t.Fatalf("no link over TLS for the first owner: %v\n%s", err, said)
	}
	for _, file := range []string{"authority.pem", "server.pem"} {
		if info, err := os.Stat(filepath.Join(folder, "shop.tls", file)); err != nil || info.Mode().Perm() != 0o600 {
			t.Errorf("%s: %v, %v; want it beside the database, mode 600", file, info, err)
		}
	}

	der, kind := fetch(t, "http://"+secure.Host+"/trust/authority.crt")
	if kind != "application/x-x509-ca-cert" || !strings.Contains(said, trust.Fingerprint(der)) {
		t.Errorf("a certificate of type %s whose fingerprint is not on the console:\n%s", kind, said)
	}
	page, _ := fetch(t, "http://"+secure.Host+"/trust")
	if !strings.Contains(string(page), trust.Fingerprint(der)) {
		t.Error("the page does not show the fingerprint")
	}
	authority, err := x509.ParseCertificate(der)
	if err != nil {
		t.Fatal(err)
	}
	roots := x509.NewCertPool()
	roots.AddCert(authority)
	if answer, err := http.Get(link); err == nil {
		answer.Body.Close()
		t.Error("whoever does not trust the authority is let in")
	}

	jar, err := cookiejar.New(nil)
	if err != nil {
		t.Fatal(err)
	}
	client := &http.Client{Jar: jar, Transport: &http.Transport{TLSClientConfig: &tls.Config{RootCAs: roots}, ForceAttemptHTTP2: true}}
	owner := url.Values{"name": {"Ilse Grauer"}, "login": {"ilse"}, "password": {"rain over the long canal"}}
	var set []*http.Cookie
	client.CheckRedirect = func(r *http.Request, _ []*http.Request) error {
		set = append(set, r.Response.Cookies()...)
		return nil
	}
	answer, err := client.PostForm(link, owner)
	if err != nil {
		t.Fatal(err)
	}
	answer.Body.Close()
	if answer.StatusCode != http.StatusOK || answer.TLS == nil || answer.Header.Get("Strict-Transport-Security") != "" {
		t.Errorf("the owner's first page: %d, TLS %v, insisting on it %q; a local authority may be given up again", answer.StatusCode, answer.TLS != nil, answer.Header.Get("Strict-Transport-Security"))
	}
	for _, c := range set {
		if !c.Secure || !c.HttpOnly {
			t.Errorf("cookie %s goes out without TLS: %v, to scripts: %v", c.Name, !c.Secure, !c.HttpOnly)
		}
	}
	if len(set) == 0 {
		t.Error("no cookie was set")
	}
	host, err := os.Hostname()
	if err != nil {
		t.Fatal(err)
	}
	for name, want := range map[string]int{host + ".local": http.StatusOK, "elsewhere.example": http.StatusMisdirectedRequest} {
		r, err := http.NewRequest(http.MethodGet, secure.Scheme+"://"+secure.Host+"/trust", nil)
		if err != nil {
			t.Fatal(err)
		}
		r.Host = name
		answer, err := client.Do(r)
		if err != nil {
			t.Fatal(err)
		}
		answer.Body.Close()
		if answer.StatusCode != want {
			t.Errorf("called %s: %d, want %d", name, answer.StatusCode, want)
		}
	}

	base := secure.Scheme + "://" + secure.Host
	stream := gaugeHeard(t, client, base)
	stopped := time.Now()
	if err := stop(); err != nil {
		t.Fatal(err)
	}
	if took := time.Since(stopped); took > 5*time.Second {
		t.Errorf("stopping took %s with a page still listening", took)
	}
	if _, err := io.Copy(io.Discard, stream); err != nil && !errors.Is(err, io.EOF) && !errors.Is(err, context.Canceled) {
		t.Errorf("the stream broke off: %v", err)
	}

	said, stop = startServe(t, s, "Tracewright answers at https://")
	if !strings.Contains(said, trust.Fingerprint(der)) {
		t.Errorf("the next start has another authority:\n%s", said)
	}
	if err := stop(); err != nil {
		t.Fatal(err)
	}
}

// gaugeHeard enrols a gauge's interface, listens at its stand, lets it speak,
// and returns the rest of what is listened to.
func gaugeHeard(t *testing.T, client *http.Client, base string) io.Reader {
	t.Helper()
	answer, err := client.PostForm(base+"/devices", url.Values{"what": {"program"}, "name": {"Dial interface"}, "place": {"stand 1"}})
	if err != nil {
		t.Fatal(err)
	}
	page, err := io.ReadAll(answer.Body)
	answer.Body.Close()
	key := regexp.MustCompile(`id="key">([^<]+)<`).FindSubmatch(page)
	if err != nil || key == nil {
		t.Fatalf("no key on the page: %v\n%.2000s", err, page)
	}
	listening, err := client.Get(base + "/api/v1/stands/stand%201/events")
	if err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() { listening.Body.Close() })
	lines := bufio.NewReader(listening.Body)
	until := func(want string) {
		t.Helper()
		for {
			line, err := lines.ReadString('\n')
			if err != nil {
				t.Fatalf("the stream ended before %q: %v", want, err)
			}
			if strings.Contains(line, want) {
				return
			}
		}
	}
	until("event: ready")
	r, err := http.NewRequest(http.MethodPost, base+"/api/v1/stands/stand%201/readings", strings.NewReader(`{"id":"0198f3c2-7a11-7cc3-98f0-0a1b2c3d4e5f","value":"-0,12","unit":"mm"}`))
	if err != nil {
		t.Fatal(err)
	}
	r.Header.Set("Content-Type", "application/json")
	r.Header.Set("Authorization", "Bearer "+string(key[1]))
	sent, err := (&http.Client{Transport: client.Transport}).Do(r)
	if err != nil {
		t.Fatal(err)
	}
	sent.Body.Close()
	if sent.StatusCode != http.StatusAccepted {
		t.Errorf("the gauge's reading: %d, want 202", sent.StatusCode)
	}
	until(`"value":"-0,12"`)
	return lines
}

func fetch(t *testing.T, address string) (body []byte, kind string) {
	t.Helper()
	answer, err := http.Get(address)
	if err != nil {
		t.Fatal(err)
	}
	defer answer.Body.Close()
	body, err = io.ReadAll(answer.Body)
	if err != nil || answer.StatusCode != http.StatusOK {
		t.Fatalf("%s: %d, %v", address, answer.StatusCode, err)
	}
	return body, answer.Header.Get("Content-Type")
}

func TestFlagsOfTLS(t *testing.T) {
	cert, key, _ := certificate(t)
	quiet := slog.New(slog.DiscardHandler)
	for _, test := range []struct {
		name     string
		flags    tlsFlags
		database string
		speaks   bool
		refused  string
	}{
		{"nothing said", tlsFlags{}, "sqlite:shop.db", false, ""},
		{"off", tlsFlags{TLS: "off"}, "sqlite:shop.db", false, ""},
		{"files by themselves", tlsFlags{TLSCert: cert, TLSKey: key}, "sqlite:shop.db", true, ""},
		{"files", tlsFlags{TLS: "files", TLSCert: cert, TLSKey: key}, "sqlite:shop.db", true, ""},
		{"files without files", tlsFlags{TLS: "files"}, "sqlite:shop.db", false, "--tls files needs"},
		{"off with files", tlsFlags{TLS: "off", TLSCert: cert, TLSKey: key}, "sqlite:shop.db", false, "contradict"},
		{"auto with files", tlsFlags{TLS: "auto", TLSCert: cert, TLSKey: key}, "sqlite:shop.db", false, "makes a certificate of its own"},
		{"a certificate that is none", tlsFlags{TLSCert: key, TLSKey: key}, "sqlite:shop.db", false, "read the certificate"},
		{"auto with a database elsewhere", tlsFlags{TLS: "auto"}, "postgres://db/shop", false, "--tls-folder"},
		{"auto with a database elsewhere and a folder", tlsFlags{TLS: "auto", TLSFolder: filepath.Join(t.TempDir(), "tls")}, "postgres://db/shop", true, ""},
	} {
		t.Run(test.name, func(t *testing.T) {
			got, err := test.flags.speak(test.database, nil, quiet)
			if test.refused != "" {
				if err == nil || !strings.Contains(err.Error(), test.refused) {
					t.Errorf("%v, want %q", err, test.refused)
				}
				return
			}
			if err != nil || (got.config != nil) != test.speaks {
				t.Errorf("speaks TLS: %v, %v; want %v", got.config != nil, err, test.speaks)
			}
		})
	}
}

// Own certificates are there to stay: browsers are told to insist on TLS.
func TestOwnFilesInsistOnTLS(t *testing.T) {
	cert, key, trusted := certificate(t)
	s := serveCommand{databaseFlag: databaseFlag{Database: "sqlite:" + filepath.Join(t.TempDir(), "shop.db")}, tlsFlags: tlsFlags{TLS: "files", TLSCert: cert, TLSKey: key}}
	said, stop := startServe(t, s, "Tracewright answers at https://")
	client := &http.Client{Transport: &http.Transport{TLSClientConfig: &tls.Config{RootCAs: trusted}}}
	link, err := url.Parse(setupAt.FindString(said))
	if err != nil {
		t.Fatal(err)
	}
	answer, err := client.Get("https://" + link.Host + "/trust")
	if err != nil {
		t.Fatal(err)
	}
	page, err := io.ReadAll(answer.Body)
	answer.Body.Close()
	if err != nil || answer.Header.Get("Strict-Transport-Security") == "" || !strings.Contains(string(page), "nothing to trust") {
		t.Errorf("%v, insisting on TLS %q, page %.300s", err, answer.Header.Get("Strict-Transport-Security"), page)
	}
	if err := stop(); err != nil {
		t.Fatal(err)
	}
}
