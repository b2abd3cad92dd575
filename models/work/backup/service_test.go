package backup_test

import (
	"bytes"
	"context"
	"errors"
	"log/slog"
	"slices"
	"strings"
	"testing"
	"time"

	"tracewright/models"
	"tracewright/models/store/storetest"
	"tracewright/models/work/backup"
	"tracewright/models/work/worktest"
)

func TestMain(m *testing.M) { storetest.Main(m) }

// shelf is a place without files.
type shelf struct {
	files []backup.File
	clear bool
	gone  bool
	fails error
	now   func() time.Time
	to    string // recipient of the last
	left  models.BackupRun
}

func (p *shelf) Make(ctx context.Context, kind, recipient string) (models.BackupRun, error) {
	if p.fails != nil {
		return models.BackupRun{}, p.fails
	}
	p.to = recipient
	f := backup.File{Name: kind + p.now().Format("-20060102T150405"), Kind: kind, At: p.now(), Size: 5}
	p.files = append(p.files, f)
	return models.BackupRun{BegunAt: p.now(), File: f.Name, Size: 5, SHA256: "ab", Sealed: recipient != ""}, nil
}

func (p *shelf) List(context.Context) ([]backup.File, error) {
	if p.gone {
		return nil, errors.New("no such folder")
	}
	return slices.SortedFunc(slices.Values(p.files), func(a, b backup.File) int { return a.At.Compare(b.At) }), nil
}

func (p *shelf) Remove(_ context.Context, name string) error {
	p.files = slices.DeleteFunc(p.files, func(f backup.File) bool { return f.Name == name })
	return nil
}

func (p *shelf) Left(context.Context, string) (models.BackupRun, error) { return p.left, nil }

func (p *shelf) Clear() bool          { return p.clear }
func (p *shelf) Lay(file string) bool { return file != "" && !strings.HasPrefix(file, "/") }
func (p *shelf) Path() string         { return "/shelf" }

func opened(h *worktest.Shop, p *shelf) (*backup.Service, *bytes.Buffer) {
	p.now = h.Clock
	log := &bytes.Buffer{}
	return backup.New(h.Store, backup.Options{Place: p, Now: h.Clock, Zone: worktest.Zone, Log: slog.New(slog.NewTextHandler(log, nil))}), log
}

// Over two months of looks every ten minutes one backup a day is made, and the
// rule's are kept; what somebody asked for stays.
func TestDayByDay(t *testing.T) {
	worktest.Each(t, func(t *testing.T, h *worktest.Shop) {
		p := &shelf{clear: true}
		s, _ := opened(h, p)
		if _, err := s.Make(t.Context(), models.BackupAsked); err != nil {
			t.Fatal(err)
		}
		made := 0
		for end := h.Now.AddDate(0, 0, 20); h.Now.Before(end); h.Now = h.Now.Add(30 * time.Minute) {
			before := len(p.files)
			newest := p.files[before-1]
			s.Look(t.Context())
			if p.files[len(p.files)-1] != newest {
				made++
				if hour := h.Now.In(worktest.Zone(t.Context())).Hour(); hour != 3 {
					t.Errorf("made at %s", h.Now)
				}
			}
		}
		// Twenty nights. Kept are the one that was asked for, seven days, and the two
		// Sundays before those: 18 and 25 May 2031; the newest of May is among the seven,
		// or is 31 May, which the days from 26 May to 1 June hold.
		if made != 20 || len(p.files) != 10 {
			t.Errorf("%d were made and %d are kept: %v", made, len(p.files), p.files)
		}
		v, err := s.State(t.Context())
		if err != nil || !v.Kept || h.Now.Sub(v.LastGood) > 24*time.Hour || !slices.Equal(v.Trouble, []string{backup.NotSealed}) || v.Folder != "/shelf" {
			t.Errorf("state %+v, %v", v, err)
		}
		last, trouble, err := s.LastGood(t.Context())
		if err != nil || trouble != "" || !last.Equal(v.LastGood) {
			t.Errorf("last good %s, %q, %v", last, trouble, err)
		}
	})
}

// What goes wrong has its code, is told and in the log, is tried again an hour
// later, and is forgotten once one was made.
func TestTroubles(t *testing.T) {
	worktest.Each(t, func(t *testing.T, h *worktest.Shop) {
		p := &shelf{clear: true}
		s, log := opened(h, p)
		v, err := s.State(t.Context())
		if err != nil || !v.Kept || !v.LastGood.IsZero() || len(v.Trouble) != 0 || v.Restored != nil {
			t.Errorf("before the first: %+v, %v", v, err)
		}
		told := func(name string, want ...string) {
			t.Helper()
			v, err := s.State(t.Context())
			if err != nil || !slices.Equal(v.Trouble, want) {
				t.Errorf("%s: %v, %v; want %v", name, v.Trouble, err, want)
			}
			if _, trouble, _ := s.LastGood(t.Context()); len(want) > 0 && want[0] != backup.NotSealed && trouble != want[0] {
				t.Errorf("%s: told as %q", name, trouble)
			}
		}
		s.Look(t.Context())
		told("made in the clear", backup.NotSealed)
		h.Must(s.UseKey(t.Context(), h.Owner, "", "age1recipient"))
		told("the next one is encrypted")
		h.Now = h.Now.Add(24 * time.Hour)
		s.Look(t.Context())
		told("made")
		if p.to != "age1recipient" {
			t.Errorf("encrypted to %q", p.to)
		}
		for _, c := range []struct {
			code string
			err  error
		}{
			{backup.DiskFull, &backup.TroubleError{Code: backup.DiskFull, Cause: errors.New("no room")}},
			{backup.Damaged, &backup.TroubleError{Code: backup.Damaged, Cause: errors.New("pages")}},
			{backup.Failed, errors.New("whatever")},
		} {
			h.Now = h.Now.Add(25 * time.Hour)
			log.Reset()
			p.fails = c.err
			s.Look(t.Context())
			told(c.code, c.code)
			if !strings.Contains(log.String(), "level=ERROR") || !strings.Contains(log.String(), "/shelf") {
				t.Errorf("%s: the log has %q", c.code, log)
			}
			p.fails = nil
			h.Now = h.Now.Add(59 * time.Minute)
			s.Look(t.Context())
			told(c.code+", not yet tried again", c.code)
			h.Now = h.Now.Add(time.Minute)
			s.Look(t.Context())
			told(c.code + " is over")
		}
		// By hand, into a folder that was mistyped: of this program's nothing is said.
		for code, want := range map[string]string{backup.NoFolder: backup.ByHand, backup.Failed: backup.ByHand, backup.Damaged: backup.Damaged} {
			h.Now = h.Now.Add(time.Second)
			p.fails = &backup.TroubleError{Code: code, Cause: errors.New("no such folder")}
			if _, err := s.Make(t.Context(), models.BackupAsked); err == nil {
				t.Errorf("%s: made", code)
			}
			told("by hand, "+code, want)
		}
		p.fails = nil
		h.Now = h.Now.Add(24 * time.Hour)
		s.Look(t.Context())
		told("the daily one went on")
		h.Now = h.Now.Add(48 * time.Hour)
		told("two days old")
		h.Now = h.Now.Add(time.Second)
		told("more than two days old", backup.TooOld)
		p.gone, p.fails = true, &backup.TroubleError{Code: backup.NoFolder, Cause: errors.New("gone")}
		s.Look(t.Context())
		told("the folder is gone", backup.NoFolder, backup.TooOld)
		p.gone, p.fails = false, nil
		h.Now = h.Now.Add(2 * time.Hour)
		s.Look(t.Context())
		told("the folder is back")
		// A clock that was a year ahead: what it dated does not count, and does not
		// keep the next from being made.
		ahead := h.Now
		h.Now = h.Now.AddDate(1, 0, 0)
		s.Look(t.Context())
		h.Now = ahead.Add(25 * time.Hour)
		s.Look(t.Context())
		told("after a clock that was ahead")
		if !slices.ContainsFunc(p.files, func(f backup.File) bool { return f.At.Equal(h.Now) }) {
			t.Error("no backup was made after the clock was set right")
		}
		elsewhere := &shelf{clear: false}
		s, _ = opened(h, elsewhere)
		h.Must(s.UseKey(t.Context(), h.Owner, "age1recipient", ""))
		told("elsewhere and without a key, before any is tried", backup.NoKey)
		var trouble *backup.TroubleError
		if _, err := s.Make(t.Context(), models.BackupAsked); !errors.As(err, &trouble) || trouble.Code != backup.NoKey {
			t.Errorf("in the clear, elsewhere: %v", err)
		}
		told("tried", backup.NoKey)
		h.Must(s.UseKey(t.Context(), h.Owner, "", "age1recipient"))
		told("with a key there is nothing to tell")
		ctx, cancel := context.WithCancel(t.Context())
		cancel()
		s.Run(ctx) // ends at once
		none := backup.New(h.Store, backup.Options{Now: h.Clock, Zone: worktest.Zone})
		none.Run(t.Context())
	})
}

// A server that is told to make none is not late for one that somebody made by hand
// once; one that makes them is, whoever made the last.
func TestByHandOnce(t *testing.T) {
	worktest.Each(t, func(t *testing.T, h *worktest.Shop) {
		p := &shelf{clear: true}
		s, _ := opened(h, p)
		h.Must(s.UseKey(t.Context(), h.Owner, "", "age1recipient"))
		if _, err := s.Make(t.Context(), models.BackupAsked); err != nil {
			t.Fatal(err)
		}
		h.Now = h.Now.AddDate(0, 1, 0)
		none := backup.New(h.Store, backup.Options{Now: h.Clock, Zone: worktest.Zone})
		if v, err := none.State(t.Context()); err != nil || v.Kept || v.LastGood.IsZero() || len(v.Trouble) > 0 {
			t.Errorf("told to make none: %+v, %v", v, err)
		}
		if v, err := s.State(t.Context()); err != nil || !slices.Equal(v.Trouble, []string{backup.TooOld}) {
			t.Errorf("of one that makes them: %+v, %v", v, err)
		}
	})
}

// After a restoration the last label is asked for until one is given.
func TestLastLabel(t *testing.T) {
	worktest.Each(t, func(t *testing.T, h *worktest.Shop) {
		s, _ := opened(h, &shelf{clear: true})
		serial := h.Serial[models.KindWheel]
		var refused *models.RefusedError
		if _, err := s.GiveLabel(t.Context(), h.Owner, serial); !errors.As(err, &refused) {
			t.Errorf("of a database that was never put back: %v", err)
		}
		if _, err := s.Restored(t.Context(), models.Actor{}, models.Restoration{BackupAt: h.Now.AddDate(0, -8, 0), BackupSHA256: strings.Repeat("5a", 32), BackupProgram: "v", BackupSchema: 43}); err != nil {
			t.Fatal(err)
		}
		v, err := s.State(t.Context())
		if err != nil || v.Restored == nil || len(v.Labels) > 0 || v.Restored.Forward != 1000 || v.Restored.RestoredBy != "system" || !slices.Equal(v.Trouble, []string{backup.LabelAsked}) {
			t.Errorf("state %+v, %v", v, err)
		}
		var invalid *models.InvalidError
		for _, typed := range []string{"", "W31", "C31-00001", serial[:8] + "x"} {
			if _, err := s.GiveLabel(t.Context(), h.Owner, typed); !errors.As(err, &invalid) {
				t.Errorf("%q: %v", typed, err)
			}
		}
		given, err := s.GiveLabel(t.Context(), h.Owner, strings.ToLower(serial))
		if err != nil || given.Serial != serial || given.GivenBy != h.Owner.PersonID {
			t.Errorf("given %+v, %v", given, err)
		}
		if v, err := s.State(t.Context()); err != nil || v.Restored == nil || len(v.Labels) != 1 || len(v.Trouble) != 0 {
			t.Errorf("state %+v, %v", v, err)
		}
		h.Now = h.Now.Add(31 * 24 * time.Hour)
		if v, err := s.State(t.Context()); err != nil || v.Restored != nil || slices.Contains(v.Trouble, backup.LabelAsked) {
			t.Errorf("a month later: %+v, %v", v, err)
		}
	})
}
