package api

import (
	"encoding/json"
	"fmt"
	"time"

	"github.com/gin-gonic/gin"

	"tracewright/models/work/stands"
	"tracewright/server/httpx"
)

const (
	// beatEvery tells a page that the line is up while no gauge speaks.
	beatEvery = 15 * time.Second
	// listenFor ends a stream, so that a device that was revoked and a person
	// who left do not listen on: the browser comes back and is asked again.
	listenFor = 5 * time.Minute
	// comeBackAfter is how long a browser waits before it does, in ms.
	comeBackAfter = 1000
)

// readingEvent is a reading as a page gets it.
type readingEvent struct {
	ID         string   `json:"id"`
	Value      string   `json:"value"`
	Unit       string   `json:"unit"`
	Instrument string   `json:"instrument,omitempty"`
	At         *instant `json:"at,omitempty"`
}

// standEvents answers with the readings that gauges send to a stand, as they
// come.
func (a *api) standEvents(c *gin.Context) error {
	values := query(c)
	place, err := a.place(c)
	if err != nil {
		return err
	}
	if err := here(c, place); err != nil {
		return err
	}
	after := c.GetHeader("Last-Event-ID")
	if after == "" {
		after = values["after"]
	}
	page, err := a.services.Stands.Listen(place, after)
	if err != nil {
		return standsError(err)
	}
	defer page.Leave()
	stream, err := httpx.NewStream(c)
	if err != nil {
		return err
	}
	defer stream.Close()
	if err := begin(stream, page); err != nil || values["follow"] == "no" {
		return nil //nolint:nilerr // whoever listened is gone
	}
	follow(stream, page.Events, readingText)
	return nil
}

// begin says where the stream stands, so that even a page that breaks off
// before its first reading comes back with a name, and then what was missed.
func begin(stream *httpx.Stream, page *stands.Page) error {
	first := page.From
	text := ""
	if page.Missed > 0 {
		text += event("", "missed", map[string]int{"count": page.Missed})
	}
	for _, e := range page.Since {
		text += readingText(e)
	}
	return stream.Send(fmt.Sprintf("retry: %d\n", comeBackAfter) + text + event(first, "ready", struct{}{}))
}

// follow sends what comes until one side has enough, or nothing more can come.
func follow[T any](stream *httpx.Stream, comes <-chan T, say func(T) string) {
	beat, end := time.NewTicker(beatEvery), time.NewTimer(listenFor)
	defer beat.Stop()
	defer end.Stop()
	for {
		text := ""
		select {
		case x, more := <-comes:
			if !more {
				return
			}
			text = say(x)
		case <-beat.C:
			text = event("", "beat", struct{}{})
		case <-end.C:
			return
		case <-stream.Done():
			return
		}
		if stream.Send(text) != nil {
			return
		}
	}
}

func readingText(e stands.Event) string {
	out := readingEvent{ID: e.Reading.ID, Value: e.Reading.Value, Unit: e.Reading.Unit, Instrument: e.Reading.Instrument}
	if e.Reading.At != nil {
		at := instant(*e.Reading.At)
		out.At = &at
	}
	return event(e.ID, "reading", out)
}

// event is one event as the HTML standard (9.2.5) writes it. JSON has no line
// breaks of its own, so its data is one line.
func event(id, name string, data any) string {
	raw, err := json.Marshal(data)
	if err != nil {
		return "" // Texts, numbers and times: it cannot fail.
	}
	if id != "" {
		id = "id: " + id + "\n"
	}
	return id + "event: " + name + "\ndata: " + string(raw) + "\n\n"
}
