package access_test

import (
	"slices"
	"testing"
	"time"

	"tracewright/models"
	"tracewright/models/store"
	"tracewright/models/store/storetest"
)

const (
	firefoxOnAndroid = "Mozilla/5.0 (Android 15; Tablet; rv:140.0) Gecko/140.0 Firefox/140.0"
	firefoxUpdated   = "Mozilla/5.0 (Android 15; Tablet; rv:141.0) Gecko/141.0 Firefox/141.0"
	chromeOnWindows  = "Mozilla/5.0 (Windows NT 10.0; Win64; x64) AppleWebKit/537.36 (KHTML, like Gecko) Chrome/140.0.0.0 Safari/537.36"
	here, there      = "192.0.2.7", "192.0.2.8"
)

// holder is a browser that keeps a device's cookie.
type holder struct {
	t      *testing.T
	h      *house
	device models.Device
	turn   string
	agent  string
	from   string
}

// tap taps a name; lost is an answer that never came.
func (b *holder) tap(lost bool) {
	b.t.Helper()
	turn, err := b.h.Turn(b.t.Context(), b.device, b.turn, b.agent, b.from)
	if err != nil {
		b.t.Fatal(err)
	}
	if turn != "" && !lost {
		b.turn = turn
	}
	b.h.clock.forward(time.Minute)
}

func (h *house) doubtKinds(t *testing.T) []string {
	t.Helper()
	open, err := h.Doubts(t.Context())
	if err != nil {
		t.Fatal(err)
	}
	var kinds []string
	for _, d := range open {
		kinds = append(kinds, d.Kind+" "+d.Address)
	}
	return kinds
}

// A copy of a browser's cookie falls behind: whichever of the two taps a name first,
// it is seen within three taps of the other, and where.
func TestACopiedKeyOfABrowserIsSeen(t *testing.T) {
	storetest.Each(t, func(t *testing.T, s *store.Store) {
		h := open(t, s)
		for name, taps := range map[string]string{"the thief taps first": "cbcb", "the tablet taps first": "bbcb", "the thief comes late": "bbbbbc", "by turns": "bcbc"} {
			_, device, err := h.Enrol(t.Context(), h.owner, "Tablet", "stand 1")
			if err != nil {
				t.Fatal(err)
			}
			tablet := &holder{t, h, device, "", firefoxOnAndroid, here}
			tablet.tap(false)
			tablet.tap(false)
			if got := h.doubtKinds(t); len(got) > 0 {
				t.Fatalf("%s: before there is a copy: %v", name, got)
			}
			copied := *tablet
			copied.agent, copied.from = chromeOnWindows, there
			for _, who := range taps {
				if who == 'b' {
					tablet.tap(false)
				} else {
					copied.tap(false)
				}
			}
			got := h.doubtKinds(t)
			if len(got) == 0 {
				t.Errorf("%s: nothing is seen", name)
			}
			if err := h.Revoke(t.Context(), h.owner, device.ID); err != nil {
				t.Fatal(err)
			}
			if got := h.doubtKinds(t); len(got) > 0 {
				t.Errorf("%s: after revoking there is still %v", name, got)
			}
		}
	})
}

// What happens to honest tablets is no theft: answers that are lost, two taps on a
// slow line, one that was enrolled before there were turns.
func TestAnHonestTabletIsNotDoubted(t *testing.T) {
	h := open(t, storetest.New(t))
	_, device, err := h.Enrol(t.Context(), h.owner, "Tablet", "stand 1")
	if err != nil {
		t.Fatal(err)
	}
	tablet := &holder{t, h, device, "", firefoxOnAndroid, here}
	tablet.tap(true) // the very first answer is lost, of one enrolled earlier
	tablet.tap(false)
	for range 3 {
		tablet.tap(true)
		tablet.tap(false)
	}
	slow := *tablet // a second tap before the first was answered
	first, err := h.Turn(t.Context(), device, slow.turn, slow.agent, slow.from)
	if err != nil {
		t.Fatal(err)
	}
	if again, err := h.Turn(t.Context(), device, slow.turn, slow.agent, slow.from); err != nil || again != "" {
		t.Errorf("the second of two taps at once gives another turn: %v", err)
	}
	tablet.turn = first
	tablet.tap(false)
	if got := h.doubtKinds(t); len(got) > 0 {
		t.Errorf("an honest tablet is doubted: %v", got)
	}
}

func TestAKeyOnTwoMachinesIsSeen(t *testing.T) {
	storetest.Each(t, func(t *testing.T, s *store.Store) {
		h := open(t, s)
		type use struct {
			agent, from string
			after       time.Duration
		}
		for _, row := range []struct {
			name    string
			browser bool // it has a turn
			program bool
			uses    []use
			want    []string
		}{
			{"one machine", false, true, []use{{"gauge/1", here, 0}, {"gauge/1", here, 2 * time.Minute}, {"gauge/1", here, 2 * time.Minute}}, nil},
			{"it moved for good", false, true, []use{{"gauge/1", here, 0}, {"gauge/1", there, 2 * time.Minute}, {"gauge/1", there, 2 * time.Minute}}, nil},
			{"two addresses by turns", false, true, []use{{"gauge/1", here, 0}, {"gauge/1", there, 2 * time.Minute}, {"gauge/1", here, 2 * time.Minute}}, []string{"two " + here}},
			{"two addresses, an hour apart", false, true, []use{{"gauge/1", here, 0}, {"gauge/1", there, time.Hour}, {"gauge/1", here, time.Hour}}, nil},
			{"one machine with an address of each kind", false, true, []use{{"gauge/1", here, 0}, {"gauge/1", "2001:db8::7", 2 * time.Minute}, {"gauge/1", here, 2 * time.Minute}}, nil},
			{"two browsers by turns behind one address", true, false, []use{{firefoxOnAndroid, here, 0}, {chromeOnWindows, here, 2 * time.Minute}, {firefoxOnAndroid, here, 2 * time.Minute}}, []string{"two " + here}},
			{"a browser that was brought up to date", true, false, []use{{firefoxOnAndroid, here, 0}, {firefoxUpdated, here, 2 * time.Minute}, {firefoxUpdated, here, 2 * time.Minute}}, nil},
			{"the key of a browser in a program", true, true, []use{{"curl/8.9", there, 0}}, []string{"program " + there}},
		} {
			_, device, err := h.Enrol(t.Context(), h.owner, "Tablet", "stand 1")
			if err != nil {
				t.Fatal(err)
			}
			if row.browser {
				(&holder{t, h, device, "", firefoxOnAndroid, here}).tap(false)
			}
			for _, u := range row.uses {
				h.clock.forward(u.after)
				if err := h.Saw(t.Context(), device, row.program, u.agent, u.from); err != nil {
					t.Fatal(err)
				}
			}
			if got := h.doubtKinds(t); !slices.Equal(got, row.want) {
				t.Errorf("%s: %v, want %v", row.name, got, row.want)
			}
			if err := h.SettleDoubts(t.Context(), h.owner, device.ID); err != nil {
				t.Fatal(err)
			}
			if got := h.doubtKinds(t); len(got) > 0 {
				t.Errorf("%s: after it was settled there is still %v", row.name, got)
			}
		}
	})
}
