package servertest

import (
	"bufio"
	"context"
	"encoding/json"
	"fmt"
	"net/http"
	"net/http/httptest"
	"strings"
	"testing"
	"time"

	"tracewright/models"
)

const (
	readingsAt1 = "/api/v1/stands/stand%201/readings"
	eventsAt1   = "/api/v1/stands/stand%201/events"
)

func gaugeReading(value string) object {
	return object{"id": models.NewID(), "value": value, "unit": "mm"}
}

// Who may speak for a gauge and who may listen, and what is refused.
func TestAGaugeSpeaksToItsOwnStand(t *testing.T) {
	s := On(t, openSQLite(t))
	bad := func(name, field, code string, change func(object)) Row {
		body := gaugeReading("0.1")
		change(body)
		return Row{Name: name, Who: GaugeAtStand, Path: readingsAt1, Body: body, Status: http.StatusUnprocessableEntity, After: func(t *testing.T, _ http.Header, answer []byte) {
			got := Decode[problems](t, answer)
			if len(got.Errors) != 1 || got.Errors[0].Field != field || got.Errors[0].Code != code || got.Errors[0].Message == "" || strings.ContainsAny(got.Errors[0].Message, "[]{}") {
				t.Errorf("entries %+v, want one: %s %s", got.Errors, field, code)
			}
		}}
	}
	s.Run(t, []Row{
		{Name: "by its key alone", Who: GaugeAtStand, Path: readingsAt1, Body: gaugeReading("0.1"), Status: http.StatusAccepted, Has: []string{`"pages":0`, `"repeated":false`}},
		{Name: "the stand in capitals", Who: GaugeAtStand, Path: "/api/v1/stands/Stand%201/readings", Body: gaugeReading("0.1"), Status: http.StatusAccepted},
		{Name: "by a tablet of the stand", Who: OperatorAtStand, Path: readingsAt1, Body: gaugeReading("0.1"), Status: http.StatusAccepted},
		{Name: "by a device of another stand", Who: SecondAtOtherSide, Path: readingsAt1, Body: gaugeReading("0.1"), Status: http.StatusForbidden},
		{Name: "by a person in the office", Who: Owner, Path: readingsAt1, Body: gaugeReading("0.1"), Status: http.StatusForbidden},
		{Name: "by nobody", Path: readingsAt1, Body: gaugeReading("0.1"), Status: http.StatusUnauthorized},
		{Name: "by a key that is none", Who: WrongKey, Path: readingsAt1, Body: gaugeReading("0.1"), Status: http.StatusUnauthorized},
		{Name: "to a stand that is not there", Who: GaugeAtStand, Path: "/api/v1/stands/stand%209/readings", Body: gaugeReading("0.1"), Status: http.StatusNotFound},
		bad("no number", "value", "not_a_number", func(b object) { b["value"] = "1e3" }),
		bad("no unit", "unit", "missing", func(b object) { delete(b, "unit") }),
		bad("an instrument nobody has", "instrument", "unknown_instrument", func(b object) { b["instrument"] = "X-99" }),
		bad("an id of its own making", "id", "bad_id", func(b object) { b["id"] = "reading 7" }),
		bad("a field too many", "colour", "unknown_field", func(b object) { b["colour"] = "red" }),
		bad("a value as a number", "value", "json_type", func(b object) { b["value"] = 0.1 }),

		{Name: "heard by the tablet of the stand", Who: OperatorAtStand, Path: eventsAt1 + "?follow=no", Status: http.StatusOK, Headers: map[string]string{"Content-Type": "text/event-stream", "Cache-Control": "no-store"}, Has: []string{"event: ready\n", "retry: "}},
		{Name: "heard in the office", Who: Owner, Path: eventsAt1 + "?follow=no", Status: http.StatusOK},
		{Name: "not by a tablet of another stand", Who: SecondAtOtherSide, Path: eventsAt1 + "?follow=no", Status: http.StatusForbidden},
		{Name: "not by a tablet before a name is tapped", Who: GaugeAtStand, Path: eventsAt1 + "?follow=no", Status: http.StatusUnauthorized},
		{Name: "not by the desk", Who: Desk, Path: eventsAt1 + "?follow=no", Status: http.StatusForbidden},
		{Name: "not by nobody", Path: eventsAt1 + "?follow=no", Status: http.StatusUnauthorized},
		{Name: "not at a stand that is not there", Who: OperatorAtStand, Path: "/api/v1/stands/stand%209/events", Status: http.StatusNotFound},
		{Name: "not by a question nobody knows", Who: OperatorAtStand, Path: eventsAt1 + "?since=1", Status: http.StatusUnprocessableEntity},
	})
	if n := s.storedReadings(t); n != 0 {
		t.Errorf("%d inspections were stored by a gauge alone", n)
	}
}

// storedReadings counts what could hold a reading.
func (s *Shop) storedReadings(t *testing.T) int {
	t.Helper()
	drafts, err := s.Store.OpenDrafts(t.Context())
	s.Must(err)
	return len(drafts)
}

// listener is a page that listens over a real connection.
type listener struct {
	t     *testing.T
	lines *bufio.Scanner
	end   context.CancelFunc
	last  string
}

func (s *Shop) listens(t *testing.T, address, last string) *listener {
	t.Helper()
	ctx, cancel := context.WithCancel(t.Context())
	t.Cleanup(cancel)
	r, err := http.NewRequestWithContext(ctx, http.MethodGet, address+eventsAt1, nil)
	if err != nil {
		t.Fatal(err)
	}
	s.sign[OperatorAtStand](r)
	r.Header.Set("Accept", "text/event-stream")
	if last != "" {
		r.Header.Set("Last-Event-ID", last)
	}
	answer, err := http.DefaultClient.Do(r)
	if err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() { answer.Body.Close() })
	if answer.StatusCode != http.StatusOK {
		t.Fatalf("listen: status %d", answer.StatusCode)
	}
	return &listener{t: t, lines: bufio.NewScanner(answer.Body), end: cancel, last: last}
}

// next reads one event, as the HTML standard (9.2.6) tells a browser to.
func (l *listener) next() (name string, data map[string]any, ok bool) {
	l.t.Helper()
	for l.lines.Scan() {
		field, value, _ := strings.Cut(l.lines.Text(), ": ")
		switch field {
		case "id":
			l.last = value
		case "event":
			name = value
		case "data":
			if err := json.Unmarshal([]byte(value), &data); err != nil {
				l.t.Fatalf("data %q: %v", value, err)
			}
		case "":
			if name != "" {
				return name, data, true
			}
		}
	}
	return "", nil, false
}

// until reads values up to the event of this name.
func (l *listener) until(name string) []string {
	l.t.Helper()
	var values []string
	for {
		got, data, ok := l.next()
		switch {
		case !ok:
			l.t.Fatalf("the stream ended before %s, after %v: %v", name, values, l.lines.Err())
		case got == "reading":
			values = append(values, data["value"].(string))
			if name == "reading "+data["value"].(string) {
				return values
			}
		case got == name:
			return values
		}
	}
}

// Over real connections: ten readings a second and more, broken off in the
// middle, taken up where it was; while the server works for others.
func TestReadingsArriveOnceAndInOrder(t *testing.T) {
	s := On(t, openSQLite(t))
	server := httptest.NewServer(s.App.Handler)
	defer server.Close()
	address := strings.Replace(server.URL, "127.0.0.1", "localhost", 1)
	page := s.listens(t, address, "")
	if got := page.until("ready"); len(got) != 0 || page.last == "" {
		t.Fatalf("a page that opens hears %v from before, from %q on", got, page.last)
	}
	post := func(from, to int) {
		t.Helper()
		for n := from; n <= to; n++ {
			status, _, body := s.Do(t, Row{Who: GaugeAtStand, Path: readingsAt1, Body: gaugeReading(fmt.Sprintf("0.%03d", n))})
			if status != http.StatusAccepted {
				t.Fatalf("reading %d: %d %s", n, status, body)
			}
		}
	}
	post(1, 20)
	heard := page.until("reading 0.020")
	page.end()
	post(21, 50)
	page = s.listens(t, address, page.last)
	heard = append(heard, page.until("ready")...)
	post(51, 60)
	heard = append(heard, page.until("reading 0.060")...)
	for n, got := range heard {
		if want := fmt.Sprintf("0.%03d", n+1); got != want {
			t.Fatalf("%d: %s, want %s", n+1, got, want)
		}
	}
	if len(heard) != 60 {
		t.Errorf("%d readings, want 60", len(heard))
	}

	// A ninth listener waits; one that has left makes room.
	others := []*listener{}
	for range 7 {
		others = append(others, s.listens(t, address, ""))
	}
	s.run(t, Row{Who: OperatorAtStand, Path: eventsAt1, Status: http.StatusServiceUnavailable, Has: []string{"Busy"}})
	others[0].end()
	for deadline := time.Now().Add(5 * time.Second); ; time.Sleep(10 * time.Millisecond) {
		status, _, _ := s.Do(t, Row{Who: OperatorAtStand, Path: eventsAt1 + "?follow=no"})
		if status == http.StatusOK {
			break
		}
		if time.Now().After(deadline) {
			t.Fatal("a listener that left still has its place")
		}
	}

	// Told to stop, every stream ends and none begins.
	s.App.Services.Stands.Close()
	for {
		if _, _, more := page.next(); !more {
			break
		}
	}
	if err := page.lines.Err(); err != nil {
		t.Errorf("the stream broke off: %v, want a clean end", err)
	}
	s.run(t, Row{Who: OperatorAtStand, Path: eventsAt1, Status: http.StatusServiceUnavailable})
	s.run(t, Row{Who: GaugeAtStand, Path: readingsAt1, Body: gaugeReading("1"), Status: http.StatusServiceUnavailable})
}
