package main

import (
	"bytes"
	"crypto/tls"
	"io"
	"net/http"
	"os"
	"path/filepath"
	"regexp"
	"strings"
	"testing"
)

var publicAt = regexp.MustCompile(`Certificates are looked up at (https?://\S+)`)

// The second listener answers strangers and nobody else's questions, by TLS
// where the shop has a certificate that they trust, and stops with the first.
func TestStrangersHaveAListenerOfTheirOwn(t *testing.T) {
	cert, key, trusted := certificate(t)
	for _, c := range []struct {
		name, scheme string
		flags        tlsFlags
	}{
		{"without TLS", "http", tlsFlags{}},
		{"by files", "https", tlsFlags{TLSCert: cert, TLSKey: key}},
		{"of a local authority, which strangers do not know", "http", tlsFlags{TLS: "auto"}},
	} {
		t.Run(c.name, func(t *testing.T) {
			s := serveCommand{databaseFlag: databaseFlag{Database: "sqlite:" + filepath.Join(t.TempDir(), "shop.db")}, PublicListen: "127.0.0.1:0", tlsFlags: c.flags}
			said, stop := startServe(t, s, "Tracewright answers at ")
			address := publicAt.FindStringSubmatch(said)
			if address == nil || !strings.HasPrefix(address[1], c.scheme+"://") {
				t.Fatalf("no address for strangers under %s:\n%s", c.scheme, said)
			}
			client := &http.Client{Transport: &http.Transport{TLSClientConfig: &tls.Config{RootCAs: trusted}}}
			for path, want := range map[string]int{"/": http.StatusOK, "/signin": http.StatusNotFound, "/api/v1/openapi.yaml": http.StatusNotFound, "/setup/x": http.StatusNotFound} {
				answer, err := client.Get(address[1] + path)
				if err != nil {
					t.Fatal(err)
				}
				body, err := io.ReadAll(answer.Body)
				answer.Body.Close()
				if insist := answer.Header.Get("Strict-Transport-Security") != ""; err != nil || answer.StatusCode != want || insist != (c.scheme == "https") || !strings.Contains(string(body), "Code on the paper") {
					t.Errorf("%s: %d, %v, insisting on TLS %v: %.200s", path, answer.StatusCode, err, insist, body)
				}
			}
			client.CloseIdleConnections()
			if err := stop(); err != nil {
				t.Fatal(err)
			}
			if _, err := client.Get(address[1] + "/"); err == nil {
				t.Error("strangers are still answered")
			}
		})
	}
}

func TestListenersThatCannotBeHad(t *testing.T) {
	database := "sqlite:" + filepath.Join(t.TempDir(), "shop.db")
	taken := serveCommand{databaseFlag: databaseFlag{Database: database}, PublicListen: "127.0.0.1:0"}
	said, stop := startServe(t, taken, "Tracewright answers at ")
	public := strings.TrimPrefix(publicAt.FindStringSubmatch(said)[1], "http://")
	var out, errs bytes.Buffer
	status := run(t.Context(), []string{"serve", "--database", database, "--listen", "127.0.0.1:0", "--public-listen", public}, streams{strings.NewReader(""), &out, &errs})
	if status != 1 || !strings.Contains(errs.String(), "listen for strangers on "+public) {
		t.Errorf("status %d: %s", status, &errs)
	}
	if err := stop(); err != nil {
		t.Fatal(err)
	}
}

// The command; what it writes is tested with the pages.
func TestExportCertificates(t *testing.T) {
	folder := t.TempDir()
	database, web := filepath.Join(folder, "shop.db"), filepath.Join(folder, "web")
	export := func() (int, string, string) {
		var out, errs bytes.Buffer
		status := run(t.Context(), []string{"export", "certificates", "--database", "sqlite:" + database, "--folder", web}, streams{strings.NewReader(""), &out, &errs})
		return status, out.String(), errs.String()
	}
	if status, _, errs := export(); status != 2 || !strings.Contains(errs, "There is no database at") {
		t.Errorf("of no database: status %d: %s", status, errs)
	}
	if left, err := filepath.Glob(filepath.Join(folder, "*")); err != nil || len(left) > 0 {
		t.Errorf("of no database: %v is made, %v", left, err)
	}
	if status := run(t.Context(), []string{"migrate", "up", "--database", "sqlite:" + database}, streams{strings.NewReader(""), io.Discard, io.Discard}); status != 0 {
		t.Fatalf("migrate: status %d", status)
	}
	status, out, errs := export()
	if status != 0 || !strings.Contains(out, "0 certificates in "+web+", 3 files written") || !strings.Contains(errs, "no public address") {
		t.Errorf("status %d: %s%s", status, out, errs)
	}
	if _, err := os.Stat(filepath.Join(web, "index.html")); err != nil {
		t.Error(err)
	}
	if _, out, _ = export(); !strings.Contains(out, "0 files written") {
		t.Errorf("again: %s", out)
	}
}

func TestOneOfAThingIsTold(t *testing.T) {
	for want, n := range map[string]int{"0 files": 0, "1 file": 1, "2 files": 2} {
		if got := counted(n, "file"); got != want {
			t.Errorf("%d: %q, want %q", n, got, want)
		}
	}
}
