package main

import (
	"bufio"
	"bytes"
	"database/sql"
	"fmt"
	"io"
	"math/rand/v2"
	"mime/multipart"
	"net"
	"net/http"
	"os"
	"path/filepath"
	"strings"
	"sync"
	"testing"
	"time"

	_ "github.com/jackc/pgx/v5/stdlib" // to count past the program

	"tracewright/models/store/storetest"
	"tracewright/models/work/claims"
	"tracewright/server/httpx"
)

// The network between tablets and server is cut at random: before a request, in it,
// and between its work and its answer. Sent again under the same id it is stored
// once.
func TestNetworkCut(t *testing.T) {
	if testing.Short() {
		t.Skip("cuts connections for a while")
	}
	storetest.EachDSN(t, func(t *testing.T, dsn string) {
		s := serveShop(t, dsn, "", 6)
		proxy, address := storetest.ProxyTCP(t, s.address)
		client := &http.Client{Timeout: 20 * time.Second, Transport: &http.Transport{}}
		w := s.works(address, client)
		s.more(w, 10)
		for end := time.Now().Add(faultFor(700 * time.Millisecond)); time.Now().Before(end); {
			proxy.Cut()
			time.Sleep(time.Duration(5+rand.IntN(40)) * time.Millisecond)
		}
		proxy.CutAfter(func() int { return rand.IntN(40_000) }) // in the middle of a body, soon
		proxy.Cut()
		time.Sleep(faultFor(500 * time.Millisecond))
		proxy.CutAfter(nil)
		proxy.Lose("HTTP/1.1 201") // everything is done, and nobody hears of it
		time.Sleep(faultFor(500 * time.Millisecond))
		if lost := proxy.Lose(""); lost == 0 {
			t.Error("no answer was lost")
		}
		s.more(w, 10)
		if w.broken < 10 {
			t.Errorf("only %d requests broke off", w.broken)
		}
		s.settled(w)
		if w.statuses[http.StatusOK] == 0 {
			t.Errorf("nothing was answered as sent before: %v", w.statuses)
		}
	})
}

// Two hundred clients send their headers and bodies a byte at a time. Everybody else
// is answered as if they were not there.
func TestSlowClients(t *testing.T) {
	if testing.Short() {
		t.Skip("sends slowly for a while")
	}
	s := serveShop(t, storetest.SQLite(t), "", 2)
	stop := make(chan struct{})
	var slow sync.WaitGroup
	_, body := s.wheel(&sync.Mutex{}, s.serials[0])
	request := fmt.Sprintf("POST /api/v1/inspections HTTP/1.1\r\nHost: localhost\r\nAuthorization: Bearer %s\r\n%s: %s\r\nContent-Type: application/json\r\nContent-Length: %d\r\n\r\n", s.device, httpx.PersonHeader, s.shop.Operator.PersonID, len(body))
	for i := range 200 {
		conn, err := net.Dial("tcp", s.address)
		if err != nil {
			t.Fatal(err)
		}
		text := []byte(request)
		if i%2 == 0 { // Half of them have got as far as their bodies.
			if _, err := conn.Write(text); err != nil {
				t.Fatal(err)
			}
			text = body
		}
		slow.Go(func() {
			defer conn.Close()
			for _, b := range text {
				if _, err := conn.Write([]byte{b}); err != nil {
					return
				}
				select {
				case <-stop:
					return
				case <-time.After(200 * time.Millisecond):
				}
			}
		})
	}
	time.Sleep(300 * time.Millisecond) // until they are all at it
	w := s.works(s.address, patient)
	var slowest time.Duration
	for end := time.Now().Add(faultFor(time.Second)); time.Now().Before(end); {
		got := s.page("/items/" + s.serials[0])
		if slowest = max(slowest, got.took); got.status != http.StatusOK {
			t.Errorf("a page among slow clients: %d: %.500s", got.status, got.body)
		}
	}
	s.more(w, 10)
	if slowest > 2*time.Second {
		t.Errorf("a page took %s among slow clients", slowest)
	}
	if _, refused := w.count(); refused > 0 {
		t.Errorf("%d were turned away for slow clients: %v", refused, w.titles)
	}
	close(stop)
	slow.Wait()
	s.settled(w)
	t.Logf("the slowest page took %s", slowest)
}

// Strangers who begin bodies and never end them, in hundreds, keep no stand from being
// heard: neither small ones, such as a sign-in, nor large ones.
func TestStrangersWhoHoldOn(t *testing.T) {
	s := serveShop(t, storetest.SQLite(t), "", 1)
	for i := range 512 {
		conn, err := net.Dial("tcp", s.address)
		if err != nil {
			t.Fatal(err)
		}
		defer conn.Close()
		size, sent := 1000, 1
		if i%2 == 0 {
			size, sent = httpx.MaxBody, 40<<10
		}
		fmt.Fprintf(conn, "POST /signin HTTP/1.1\r\nHost: localhost\r\nContent-Type: application/x-www-form-urlencoded\r\nContent-Length: %d\r\n\r\n%s", size, strings.Repeat("a", sent))
	}
	time.Sleep(300 * time.Millisecond) // until they are all at it
	for _, test := range []struct {
		name   string
		spaces int
	}{{"an inspection", 0}, {"a large one", 500_000}} {
		_, body := s.wheel(&sync.Mutex{}, s.serials[0])
		body = append(bytes.Repeat([]byte(" "), test.spaces), body...)
		got, err := s.ask(patient, s.address, http.MethodPost, "/api/v1/inspections", "application/json", body)
		if err != nil || got.status != http.StatusCreated || got.took > 2*time.Second {
			t.Errorf("%s of %d bytes: %d after %s (%v), want 201 at once: %.300s", test.name, len(body), got.status, got.took, err, got.body)
		}
	}
}

// Photos and inspections whose sending breaks off in the middle leave nothing: no
// record, no file, no row of the log.
func TestHalfSent(t *testing.T) {
	storetest.EachDSN(t, func(t *testing.T, dsn string) {
		s := serveShop(t, dsn, "", 1)
		claim := s.claim()
		before := s.rows()
		id, inspection := s.wheel(&sync.Mutex{}, s.serials[0])
		photo, kind := photoForm(t)
		for _, sent := range []struct {
			path, kind string
			body       []byte
		}{{"/api/v1/inspections", "application/json", inspection}, {"/api/v1/claims/" + claim + "/photos", kind, photo}, {"/claims/" + claim + "/photos", kind, photo}} {
			for _, share := range []float64{0, 0.3, 0.9, 0.999} {
				conn, err := net.Dial("tcp", s.address)
				if err != nil {
					t.Fatal(err)
				}
				fmt.Fprintf(conn, "POST %s HTTP/1.1\r\nHost: localhost\r\nAuthorization: Bearer %s\r\n%s: %s\r\nContent-Type: %s\r\nContent-Length: %d\r\n\r\n", sent.path, s.device, httpx.PersonHeader, s.shop.Owner.PersonID, sent.kind, len(sent.body))
				conn.Write(sent.body[:int(share*float64(len(sent.body)))])
				// Only the sending ends: whoever listens still hears what became of it.
				conn.(*net.TCPConn).CloseWrite()
				conn.SetReadDeadline(time.Now().Add(10 * time.Second))
				answer, err := http.ReadResponse(bufio.NewReader(conn), nil)
				if err != nil {
					t.Errorf("%s cut at %g: no answer: %v", sent.path, share, err)
				} else {
					text, _ := io.ReadAll(answer.Body)
					if answer.StatusCode != http.StatusRequestTimeout && answer.StatusCode != http.StatusUnprocessableEntity {
						t.Errorf("%s cut at %g: %d %.300s", sent.path, share, answer.StatusCode, text)
					}
				}
				conn.Close()
			}
		}
		if after := s.rows(); after != before {
			t.Errorf("rows of inspections, files, attachments, log: %v, were %v", after, before)
		}
		if _, err := s.shop.Store.Inspection(t.Context(), id); err == nil {
			t.Error("half an inspection is stored")
		}
		if left, _ := filepath.Glob(filepath.Join(os.TempDir(), "multipart-*")); len(left) > 0 {
			t.Errorf("files of broken-off forms lie around: %v", left)
		}
		// Whole, each is taken.
		w := &work{answered: map[string]bool{}, statuses: map[int]int{}, titles: map[string]string{}, end: func() {}}
		if !s.send(w, patient, s.address, id, inspection) {
			t.Error("the whole inspection is not taken")
		}
		s.settled(w)
	})
}

// photoForm is a form with a photo of 200 kB.
func photoForm(t *testing.T) (body []byte, kind string) {
	t.Helper()
	var b bytes.Buffer
	form := multipart.NewWriter(&b)
	part, err := form.CreateFormFile("file", "rim.jpg")
	if err != nil {
		t.Fatal(err)
	}
	part.Write([]byte{0xff, 0xd8, 0xff, 0xe0})
	part.Write(make([]byte, 200_000))
	form.Close()
	return b.Bytes(), form.FormDataContentType()
}

// claim opens one, and gives its number.
func (s *served) claim() string {
	s.Helper()
	v, err := s.app.Services.Claims.Open(s.Context(), s.shop.Owner, claims.Opening{Item: s.serials[0], Words: "it ticks"})
	s.shop.Must(err)
	return v.Number
}

// rows counts what is stored of inspections, files, papers and changes.
func (s *served) rows() (rows [4]int) {
	s.Helper()
	driver, source := "pgx", s.direct
	if path, isFile := strings.CutPrefix(s.direct, "sqlite:"); isFile {
		driver, source = "sqlite", path
	}
	db, err := sql.Open(driver, source)
	if err != nil {
		s.Fatal(err)
	}
	defer db.Close()
	for i, table := range []string{"inspections", "files", "attachments", "trail_entries"} {
		if err := db.QueryRowContext(s.Context(), "SELECT count(*) FROM "+table).Scan(&rows[i]); err != nil {
			s.Fatal(err)
		}
	}
	return rows
}
