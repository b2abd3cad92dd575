package main

import (
	"context"
	"crypto/ecdsa"
	"crypto/elliptic"
	"crypto/rand"
	"crypto/tls"
	"crypto/x509"
	"encoding/pem"
	"io"
	"math/big"
	"net"
	"net/http"
	"net/http/cookiejar"
	"net/url"
	"os"
	"path/filepath"
	"regexp"
	"strings"
	"testing"
	"time"

	"tracewright/server/backups"
)

// startServe runs the command in this process until what it says matches.
func startServe(t *testing.T, s serveCommand, until string) (said string, stop func() error) {
	t.Helper()
	s.Listen = "127.0.0.1:0"
	ctx, cancel := context.WithCancel(t.Context())
	t.Cleanup(cancel)
	read, write := io.Pipe()
	done := make(chan error, 1)
	go func() {
		done <- s.Run(ctx, streams{strings.NewReader(""), write, io.Discard})
		write.Close()
	}()
	var all strings.Builder
	buffer := make([]byte, 4096)
	for !strings.Contains(all.String(), until) {
		n, err := read.Read(buffer)
		all.Write(buffer[:n])
		if err != nil {
			t.Fatalf("the server ended: %v, %v\n%s", err, <-done, all.String())
		}
	}
	return all.String(), func() error { cancel(); return <-done }
}

var setupAt = regexp.MustCompile(`https?://\S+/setup/\S+`)

// A new shop: the link on the console makes the owner, once, over TLS; the
// next start prints none. The owner comes to where the recovery key is made: it is
// shown once, and opens the backups that are made from then on.
func TestTheFirstOwner(t *testing.T) {
	if testing.Short() {
		t.Skip("hashes a password at its full cost")
	}
	cert, key, trusted := certificate(t)
	dsn := "sqlite:" + filepath.Join(t.TempDir(), "shop.db")
	s := serveCommand{databaseFlag: databaseFlag{Database: dsn}, tlsFlags: tlsFlags{TLSCert: cert, TLSKey: key}}
	said, stop := startServe(t, s, "Tracewright answers at https://")
	link := setupAt.FindString(said)
	if link == "" {
		t.Fatalf("no link for the first owner:\n%s", said)
	}
	jar, err := cookiejar.New(nil)
	if err != nil {
		t.Fatal(err)
	}
	client := &http.Client{Jar: jar, Transport: &http.Transport{TLSClientConfig: &tls.Config{RootCAs: trusted}, ForceAttemptHTTP2: true}}
	form := url.Values{"name": {"Ilse Grauer"}, "login": {"ilse"}, "password": {"rain over the long canal"}, "pin": {"4709"}}
	answer, err := client.PostForm(link, form)
	if err != nil {
		t.Fatal(err)
	}
	page, err := io.ReadAll(answer.Body)
	answer.Body.Close()
	if err != nil || answer.StatusCode != http.StatusOK || answer.Request.URL.Path != "/backups/key" || !strings.Contains(string(page), "Ilse Grauer") {
		t.Errorf("after setting up: %d at %s, %v\n%.500s", answer.StatusCode, answer.Request.URL, err, page)
	}
	keyAt := answer.Request.URL.String()
	home := strings.TrimSuffix(keyAt, "backups/key")
	if today := bodyAt(t, client, home); !strings.Contains(today, `href="/backups/key"`) {
		t.Errorf("Today does not name the key among the first steps:\n%.800s", today)
	}
	// It is shown once, and not used before it is on paper: each page that is lost on the
	// way leaves things as they were.
	lost, _ := recoverySheetAt(t, client, keyAt, url.Values{"do": {"draw"}, "before": {""}})
	sheet, _ := recoverySheetAt(t, client, keyAt, url.Values{"do": {"draw"}, "before": {""}})
	recovered, err := backups.ParseRecovery(strings.Join(sheet.lines, "\n"))
	if err != nil || recovered.Recipient() != sheet.public || sheet.public == lost.public {
		t.Fatalf("the key that is shown: %v, its public half %s, want %s and not %s", err, recovered.Recipient(), sheet.public, lost.public)
	}
	if today := bodyAt(t, client, home); !strings.Contains(today, `href="/backups/key"`) {
		t.Error("a key that nobody put to use is no longer asked for")
	}
	for _, x := range []struct {
		name string
		form url.Values
		path string
	}{
		{"what is no key", url.Values{"do": {"use"}, "before": {""}, "public": {"age1nothing"}}, "/backups/key"},
		{"put to use", url.Values{"do": {"use"}, "before": {""}, "public": {sheet.public}}, "/backups"},
		{"the one whose page was lost, by a page that does not know", url.Values{"do": {"use"}, "before": {""}, "public": {lost.public}}, "/backups/key"},
		{"another drawn by a page that does not know", url.Values{"do": {"draw"}, "before": {""}}, "/backups/key"},
	} {
		if shown, path := recoverySheetAt(t, client, keyAt, x.form); len(shown.lines) > 0 || path != x.path {
			t.Errorf("%s: %d lines of a key at %s, want none at %s", x.name, len(shown.lines), path, x.path)
		}
	}
	again, err := client.PostForm(link, form)
	if err != nil {
		t.Fatal(err)
	}
	again.Body.Close()
	if again.StatusCode != http.StatusNotFound {
		t.Errorf("the link a second time: %d, want 404", again.StatusCode)
	}
	if err := stop(); err != nil {
		t.Fatal(err)
	}
	said, stop = startServe(t, s, "Tracewright answers at https://")
	if setupAt.MatchString(said) {
		t.Errorf("a shop with an owner prints a link:\n%s", said)
	}
	if err := stop(); err != nil {
		t.Fatal(err)
	}
	keyFile, folder := filepath.Join(t.TempDir(), "typed.txt"), t.TempDir()
	if err := os.WriteFile(keyFile, []byte(strings.Join(sheet.lines, "\n")), 0o600); err != nil {
		t.Fatal(err)
	}
	says(t, "a backup", command(t, "", "backup", "--database", dsn, "--backups", folder), 0, "encrypted to the recovery key", "")
	files, err := filepath.Glob(filepath.Join(folder, "*.twbackup"))
	if err != nil || len(files) != 1 {
		t.Fatalf("backups: %v, %v", files, err)
	}
	says(t, "opened by what was printed", command(t, "", "backup", "--check", files[0], "--key-file", keyFile, "--database", dsn), 0, "Sound.", "")
}

func bodyAt(t *testing.T, client *http.Client, address string) string {
	t.Helper()
	answer, err := client.Get(address)
	if err != nil {
		t.Fatal(err)
	}
	defer answer.Body.Close()
	body, err := io.ReadAll(answer.Body)
	if err != nil || answer.StatusCode != http.StatusOK {
		t.Fatalf("GET %s: %d, %v", address, answer.StatusCode, err)
	}
	return string(body)
}

// shownSheet is what a page shows of a recovery key.
type shownSheet struct {
	lines  []string
	public string
}

var (
	keyLine   = regexp.MustCompile(`<li>([0-9A-Z ]+)</li>`)
	publicKey = regexp.MustCompile(`>(age1[0-9a-z]+)<`)
)

// recoverySheetAt sends the form of a recovery key, and reads what comes.
func recoverySheetAt(t *testing.T, client *http.Client, address string, form url.Values) (s shownSheet, path string) {
	t.Helper()
	answer, err := client.PostForm(address, form)
	if err != nil {
		t.Fatal(err)
	}
	page, err := io.ReadAll(answer.Body)
	answer.Body.Close()
	if err != nil || answer.StatusCode >= http.StatusInternalServerError || answer.Header.Get("Cache-Control") != "no-store" {
		t.Fatalf("%v: %d, %v, Cache-Control %q\n%.500s", form, answer.StatusCode, err, answer.Header.Get("Cache-Control"), page)
	}
	for _, m := range keyLine.FindAllSubmatch(page, -1) {
		s.lines = append(s.lines, string(m[1]))
	}
	if m := publicKey.FindSubmatch(page); m != nil {
		s.public = string(m[1])
	}
	return s, answer.Request.URL.Path
}

// certificate makes a certificate of this test's own for 127.0.0.1.
func certificate(t *testing.T) (cert, key string, trusted *x509.CertPool) {
	t.Helper()
	private, err := ecdsa.GenerateKey(elliptic.P256(), rand.Reader)
	if err != nil {
		t.Fatal(err)
	}
	template := &x509.Certificate{SerialNumber: big.NewInt(1), NotBefore: time.Now().Add(-time.Hour), NotAfter: time.Now().Add(time.Hour), IPAddresses: []net.IP{net.IPv4(127, 0, 0, 1)}, IsCA: true, BasicConstraintsValid: true}
	signed, err := x509.CreateCertificate(rand.Reader, template, template, &private.PublicKey, private)
	if err != nil {
		t.Fatal(err)
	}
	secret, err := x509.MarshalECPrivateKey(private)
	if err != nil {
		t.Fatal(err)
	}
	folder := t.TempDir()
	write := func(name, kind string, bytes []byte) string {
		file := filepath.Join(folder, name)
		if err := os.WriteFile(file, pem.EncodeToMemory(&pem.Block{Type: kind, Bytes: bytes}), 0o600); err != nil {
			t.Fatal(err)
		}
		return file
	}
	parsed, err := x509.ParseCertificate(signed)
	if err != nil {
		t.Fatal(err)
	}
	trusted = x509.NewCertPool()
	trusted.AddCert(parsed)
	return write("shop.pem", "CERTIFICATE", signed), write("shop.key", "EC PRIVATE KEY", secret), trusted
}
