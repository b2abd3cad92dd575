package main

import (
	"io"
	"net/http"
	"os"
	"path/filepath"
	"regexp"
	"strings"
	"testing"
	"time"
)

// fetched is what an address answers.
func fetched(t *testing.T, address, bearer string) (int, string) {
	t.Helper()
	r, err := http.NewRequestWithContext(t.Context(), http.MethodGet, address, nil)
	if err != nil {
		t.Fatal(err)
	}
	if bearer != "" {
		r.Header.Set("Authorization", "Bearer "+bearer)
	}
	answer, err := http.DefaultClient.Do(r)
	if err != nil {
		t.Fatal(err)
	}
	defer answer.Body.Close()
	body, err := io.ReadAll(answer.Body)
	if err != nil {
		t.Fatal(err)
	}
	return answer.StatusCode, string(body)
}

var (
	countedAt  = regexp.MustCompile(`http://\S+/metrics`)
	answeredAt = regexp.MustCompile(`answers at (http://\S+)`)
)

// What is counted is read on a listener of its own, and by strangers not at all:
// not on the pages' listener, not without the token where one is set, and at no
// address that others reach without one.
func TestWhereMetricsAreRead(t *testing.T) {
	folder := t.TempDir()
	s := serveCommand{databaseFlag: databaseFlag{Database: "sqlite:" + filepath.Join(folder, "shop.db")}}
	s.Metrics = "127.0.0.1:0"
	said, stop := startServe(t, s, "/metrics")
	at := countedAt.FindString(said)
	if status, body := fetched(t, at, ""); status != http.StatusOK || !strings.Contains(body, "tracewright_ready 1") {
		t.Errorf("%d: %.300s", status, body)
	}
	page := answeredAt.FindStringSubmatch(said)[1]
	if status, body := fetched(t, page+"/metrics", ""); strings.Contains(body, "tracewright_") && status == http.StatusOK {
		t.Errorf("the pages' listener tells them: %d %.300s", status, body)
	}
	if err := stop(); err != nil {
		t.Fatal(err)
	}

	token := filepath.Join(folder, "token")
	if err := os.WriteFile(token, []byte("a-token-of-some-length\n"), 0o600); err != nil {
		t.Fatal(err)
	}
	s.Metrics, s.MetricsToken = "0.0.0.0:0", token
	said, stop = startServe(t, s, "/metrics")
	at = countedAt.FindString(said)
	for bearer, want := range map[string]int{"": http.StatusUnauthorized, "another-token-altogether": http.StatusUnauthorized, "a-token-of-some-length": http.StatusOK} {
		if status, _ := fetched(t, at, bearer); status != want {
			t.Errorf("with the token %q: %d, want %d", bearer, status, want)
		}
	}
	if err := stop(); err != nil {
		t.Fatal(err)
	}

	short := filepath.Join(folder, "short")
	if err := os.WriteFile(short, []byte("12345\n"), 0o600); err != nil {
		t.Fatal(err)
	}
	database := []string{"serve", "--database", "sqlite:" + filepath.Join(folder, "shop.db"), "--listen", "127.0.0.1:0"}
	says(t, "for everybody", command(t, "", append(database, "--metrics", "0.0.0.0:0")...), 2, "", "can be reached by other machines")
	says(t, "a token that is guessed", command(t, "", append(database, "--metrics", "0.0.0.0:0", "--metrics-token", short)...), 2, "", "16 characters or more")
}

// Told to stop, a server that is given a delay still answers, and says that
// nothing new should be sent here.
func TestStopDelay(t *testing.T) {
	s := serveCommand{databaseFlag: databaseFlag{Database: "sqlite:" + filepath.Join(t.TempDir(), "shop.db")}, StopDelay: 2 * time.Second}
	said, stop := startServe(t, s, "answers at http://")
	page := strings.TrimSpace(answeredAt.FindStringSubmatch(said)[1])
	if status, body := fetched(t, page+"/readyz", ""); status != http.StatusOK || body != "ready\n" {
		t.Errorf("before: %d %q", status, body)
	}
	ended := make(chan error, 1)
	go func() { ended <- stop() }()
	until := time.Now().Add(1500 * time.Millisecond)
	for {
		status, body := fetched(t, page+"/readyz", "")
		if status == http.StatusServiceUnavailable && body == "not ready: stopping\n" {
			break
		}
		if time.Now().After(until) {
			t.Fatalf("told to stop, it says %d %q", status, body)
		}
		time.Sleep(20 * time.Millisecond)
	}
	if status, body := fetched(t, page+"/healthz", ""); status != http.StatusOK || body != "ok\n" {
		t.Errorf("while it stops: %d %q", status, body)
	}
	if err := <-ended; err != nil {
		t.Fatal(err)
	}
}
