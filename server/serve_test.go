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
// next start prints none.
func TestTheFirstOwner(t *testing.T) {
	if testing.Short() {
		t.Skip("hashes a password at its full cost")
	}
	cert, key, trusted := certificate(t)
	s := serveCommand{databaseFlag: databaseFlag{Database: "sqlite:" + filepath.Join(t.TempDir(), "shop.db")}, tlsFlags: tlsFlags{TLSCert: cert, TLSKey: key}}
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
	if err != nil || answer.StatusCode != http.StatusOK || answer.Request.URL.Path != "/" || !strings.Contains(string(page), "Ilse Grauer") {
		t.Errorf("after setting up: %d at %s, %v\n%.500s", answer.StatusCode, answer.Request.URL, err, page)
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
