package stands

import (
	"errors"
	"fmt"
	"slices"
	"sync"
	"testing"
	"time"

	"tracewright/models"
)

const id = "0198f3c2-7a11-7cc3-98f0-0a1b2c3d4e5f"

func TestCheck(t *testing.T) {
	long := "1234567890123456789012345678901234567890123456789012345678901234567890"
	for _, test := range []struct {
		name        string
		sent        Reading
		value, unit string
		problems    []string // field and code
	}{
		{"a value and its unit", Reading{ID: id, Value: "-0,12", Unit: "mm"}, "-0,12", "mm", nil},
		{"the digits stay as they are", Reading{ID: id, Value: " 0.10 ", Unit: "mm"}, "0.10", "mm", nil},
		{"a leading mark", Reading{ID: id, Value: ",21", Unit: "mm"}, ",21", "mm", nil},
		{"the unit behind the value", Reading{ID: id, Value: "104 kgf"}, "104", "kgf", nil},
		{"the unit twice alike, spelled otherwise", Reading{ID: id, Value: "12 µm", Unit: "um"}, "12", "um", nil},
		{"the unit twice, another", Reading{ID: id, Value: "12 mm", Unit: "N"}, "", "", []string{"value other_unit_typed"}},
		{"no unit", Reading{ID: id, Value: "12"}, "", "", []string{"unit missing"}},
		{"a unit that is none", Reading{ID: id, Value: "12", Unit: "ell"}, "", "", []string{"unit unknown_unit"}},
		{"a unit that is none, behind it", Reading{ID: id, Value: "12 ell"}, "", "", []string{"value unit_not_understood"}},
		{"no number", Reading{ID: id, Value: "1.2.3", Unit: "mm"}, "", "", []string{"value not_a_number"}},
		{"an exponent", Reading{ID: id, Value: "1e3", Unit: "mm"}, "", "", []string{"value not_a_number"}},
		{"not a number, as programs write it", Reading{ID: id, Value: "NaN", Unit: "mm"}, "", "", []string{"value not_a_number"}},
		{"thousands", Reading{ID: id, Value: "1.234,5", Unit: "N"}, "", "", []string{"value not_a_number"}},
		{"nothing", Reading{ID: id, Unit: "mm"}, "", "", []string{"value missing"}},
		{"too many digits", Reading{ID: id, Value: "0.12345678901234567890", Unit: "mm"}, "", "", []string{"value too_many_digits"}},
		{"a page pasted", Reading{ID: id, Value: long, Unit: "mm"}, "", "", []string{"value too_long"}},
		{"an id of another version", Reading{ID: "f47ac10b-58cc-4372-a567-0e02b2c3d479", Value: "1", Unit: "mm"}, "", "", []string{"id bad_id"}},
		{"an id in capitals", Reading{ID: "0198F3C2-7A11-7CC3-98F0-0A1B2C3D4E5F", Value: "1", Unit: "mm"}, "", "", []string{"id bad_id"}},
		{"everything wrong at once", Reading{Value: "x", Unit: "ell", Instrument: long}, "", "", []string{"id bad_id", "instrument too_long", "value not_a_number", "unit unknown_unit"}},
	} {
		t.Run(test.name, func(t *testing.T) {
			got, err := Check(test.sent)
			var invalid *models.InvalidError
			var problems []string
			if errors.As(err, &invalid) {
				for _, p := range invalid.Problems {
					problems = append(problems, p.Field+" "+p.Code)
				}
			} else if err != nil {
				t.Fatal(err)
			}
			if got.Value != test.value || got.Unit != test.unit || !slices.Equal(problems, test.problems) {
				t.Errorf("%+v: %q %q, %v; want %q %q, %v", test.sent, got.Value, got.Unit, problems, test.value, test.unit, test.problems)
			}
		})
	}
}

// desk is a service whose clock the test turns.
type desk struct {
	*Service
	t  *testing.T
	at time.Time
	n  int
}

func newDesk(t *testing.T) *desk {
	d := &desk{t: t, at: time.Date(2031, 5, 12, 12, 0, 0, 0, time.UTC)}
	d.Service = New(func() time.Time { return d.at })
	return d
}

// post sends the next reading; its value is its number.
func (d *desk) post(place string) Receipt {
	d.t.Helper()
	d.n++
	got, err := d.Post(place, Reading{ID: fmt.Sprintf("%s-%d", place, d.n), Value: fmt.Sprint(d.n), Unit: "mm"})
	if err != nil {
		d.t.Fatal(err)
	}
	return got
}

func (d *desk) listen(place, after string) *Page {
	d.t.Helper()
	p, err := d.Listen(place, after)
	if err != nil {
		d.t.Fatal(err)
	}
	return p
}

// values are those of events, and the name of the last one.
func values(events []Event) (out []string, last string) {
	for _, e := range events {
		out, last = append(out, e.Reading.Value), e.ID
	}
	return out, last
}

// waiting empties what has come to a page.
func waiting(p *Page) []Event {
	var out []Event
	for {
		select {
		case e, more := <-p.Events:
			if !more {
				return out
			}
			out = append(out, e)
		default:
			return out
		}
	}
}

func TestAReadingGoesToThePagesOfItsStand(t *testing.T) {
	d := newDesk(t)
	if got := d.post("stand 1"); got.Pages != 0 || got.Repeated {
		t.Errorf("nobody listens: %+v", got)
	}
	one, other, elsewhere := d.listen("stand 1", ""), d.listen("stand 1", ""), d.listen("stand 2", "")
	if got := d.post("stand 1"); got.Pages != 2 {
		t.Errorf("two listen: %+v", got)
	}
	for name, p := range map[string]*Page{"one": one, "other": other} {
		if got, _ := values(append(p.Since, waiting(p)...)); !slices.Equal(got, []string{"2"}) {
			t.Errorf("%s heard %v, want 2: what came before it was opened is over", name, got)
		}
	}
	if got, _ := values(waiting(elsewhere)); len(got) != 0 {
		t.Errorf("another stand heard %v", got)
	}
	one.Leave()
	one.Leave()
	if got := d.post("stand 1"); got.Pages != 1 {
		t.Errorf("after one has left: %+v", got)
	}
}

func TestRepeatingIsHarmless(t *testing.T) {
	d := newDesk(t)
	p := d.listen("stand 1", "")
	at := d.at
	first := Reading{ID: id, Value: "0.10", Unit: "mm", At: &at}
	again, other, without := first, first, first
	later := at
	again.At = &later
	other.Value = "0.1" // "0.10" is not "0.1"
	without.At = nil
	for _, test := range []struct {
		name     string
		r        Reading
		repeated bool
		err      error
	}{{"first", first, false, nil}, {"the same", again, true, nil}, {"other digits", other, false, models.ErrConflict}, {"another moment", without, false, models.ErrConflict}} {
		got, err := d.Post("stand 1", test.r)
		if got.Repeated != test.repeated || !errors.Is(err, test.err) {
			t.Errorf("%s: %+v, %v; want repeated %v, %v", test.name, got, err, test.repeated, test.err)
		}
	}
	if got, _ := values(waiting(p)); !slices.Equal(got, []string{"0.10"}) {
		t.Errorf("heard %v, want it once", got)
	}
}

// Whoever breaks off at any moment and comes back hears each reading once, in
// order.
func TestComingBackLosesNothingAndDoublesNothing(t *testing.T) {
	for breaks := range 8 {
		d := newDesk(t)
		p := d.listen("stand 1", "")
		last, heard := p.From, []string{}
		note := func(events []Event) {
			got, id := values(events)
			heard = append(heard, got...)
			if id != "" {
				last = id
			}
		}
		for n := range 8 {
			if n == breaks {
				p.Leave() // What waits in it is not read any more.
				d.post("stand 1")
				p = d.listen("stand 1", last)
				note(p.Since)
				last = p.From
				continue
			}
			d.post("stand 1")
			if n%2 == 0 {
				note(waiting(p))
			}
		}
		note(waiting(p))
		if !slices.Equal(heard, []string{"1", "2", "3", "4", "5", "6", "7", "8"}) || p.Missed != 0 {
			t.Errorf("broken off before %d: %v, missed %d", breaks+1, heard, p.Missed)
		}
	}
}

func TestWhatIsGoneIsCounted(t *testing.T) {
	d := newDesk(t)
	from := d.listen("stand 1", "").From
	d.post("stand 1")
	d.post("stand 1")
	d.at = d.at.Add(keptFor + time.Millisecond)
	d.post("stand 1")
	p := d.listen("stand 1", from)
	if got, _ := values(p.Since); !slices.Equal(got, []string{"3"}) || p.Missed != 2 {
		t.Errorf("after five minutes: %v and %d missed, want 3 and 2", got, p.Missed)
	}
	for range mostKept + 10 {
		d.post("stand 1")
	}
	p = d.listen("stand 1", p.From)
	if p.Missed+len(p.Since) != mostKept+10 || len(p.Since) > mostKept || len(p.Since) < mostKept-1 {
		t.Errorf("%d since and %d missed of %d", len(p.Since), p.Missed, mostKept+10)
	}
	// Another start of the server knows nothing of the name; what it has, the
	// page has not seen.
	after := newDesk(t)
	after.epoch = "another"
	after.post("stand 1")
	for _, name := range []string{p.From, "nonsense", "another-x"} {
		if got, _ := values(after.listen("stand 1", name).Since); !slices.Equal(got, []string{"1"}) {
			t.Errorf("after a restart, from %q: %v", name, got)
		}
	}
	if p := after.listen("stand 1", "another-99"); p.Missed != 0 || len(p.Since) != 0 {
		t.Errorf("from a name not given out yet: %d missed, %d since", p.Missed, len(p.Since))
	}
}

func TestASlowPageIsDroppedAndComesBack(t *testing.T) {
	d := newDesk(t)
	slow, quick := d.listen("stand 1", ""), d.listen("stand 1", "")
	from := slow.From
	var heard []string
	for range mostWaiting + 3 {
		d.post("stand 1")
		got, _ := values(waiting(quick))
		heard = append(heard, got...)
	}
	if len(heard) != mostWaiting+3 {
		t.Errorf("the quick page heard %d of %d", len(heard), mostWaiting+3)
	}
	got := waiting(slow)
	if _, more := <-slow.Events; more || len(got) != mostWaiting {
		t.Errorf("the slow page has %d waiting and goes on: %v", len(got), more)
	}
	if back := d.listen("stand 1", from); len(back.Since) != mostWaiting+3 || back.Missed != 0 {
		t.Errorf("back again: %d since, %d missed", len(back.Since), back.Missed)
	}
}

func TestPagesAreBounded(t *testing.T) {
	d := newDesk(t)
	var pages []*Page
	for range mostPages {
		pages = append(pages, d.listen("stand 1", ""))
	}
	if _, err := d.Listen("stand 1", ""); !errors.Is(err, ErrFull) {
		t.Errorf("one more: %v, want %v", err, ErrFull)
	}
	pages[0].Leave()
	d.listen("stand 1", "")
	for n := range (mostOfAll - mostPages) / mostPages {
		for range mostPages {
			d.listen(fmt.Sprint("place ", n), "")
		}
	}
	if _, err := d.Listen("another place", ""); !errors.Is(err, ErrFull) {
		t.Errorf("beyond all: %v, want %v", err, ErrFull)
	}
	d.Close()
	if _, err := d.Listen("stand 1", ""); !errors.Is(err, ErrClosed) {
		t.Errorf("after the end: %v, want %v", err, ErrClosed)
	}
	if _, err := d.Post("stand 1", Reading{ID: id}); !errors.Is(err, ErrClosed) {
		t.Errorf("a reading after the end: %v, want %v", err, ErrClosed)
	}
	if _, more := <-pages[1].Events; more {
		t.Error("a page goes on after the end")
	}
}

// Gauges, pages that come and go, and the end, all at once; run with -race.
func TestAllAtOnce(t *testing.T) {
	s := New(time.Now)
	var wg sync.WaitGroup
	for g := range 4 {
		wg.Go(func() {
			for n := range 50 {
				_, err := s.Post("stand 1", Reading{ID: fmt.Sprint(g, "-", n), Value: "1", Unit: "mm"})
				if err != nil && !errors.Is(err, ErrClosed) {
					t.Error(err)
				}
			}
		})
		wg.Go(func() {
			last := ""
			for range 20 {
				p, err := s.Listen("stand 1", last)
				if err != nil {
					return
				}
				_, last = values(append(p.Since, waiting(p)...))
				p.Leave()
			}
		})
	}
	wg.Wait()
	s.Close()
	if s.pages != 0 {
		t.Errorf("%d pages are left", s.pages)
	}
}
