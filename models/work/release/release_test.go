package release_test

import (
	"context"
	"encoding/json"
	"errors"
	"fmt"
	"slices"
	"strings"
	"sync"
	"testing"
	"time"

	"tracewright/models"
	"tracewright/models/store"
	"tracewright/models/work/release"
	"tracewright/models/work/worktest"
)

// service counts how often paper is drawn; the drawing is the hash of its
// content and its state.
func service(h *worktest.Shop, drawn *int) *release.Service {
	s := release.New(h.Store, h.Clock, worktest.Zone, func(d release.Drawing) ([]byte, error) {
		*drawn++
		return []byte("paper of " + d.Hash + " " + d.State), nil
	})
	s.SealBy(worktest.NewSigner())
	return s
}

func refusals(err error) []string {
	var refused *models.RefusedError
	if !errors.As(err, &refused) {
		return []string{fmt.Sprint(err)}
	}
	var codes []string
	for _, r := range refused.Reasons {
		codes = append(codes, r.Code)
	}
	return codes
}

func TestTheGate(t *testing.T) {
	for _, c := range []struct {
		name  string
		setUp func(*worktest.Shop, *release.Service)
		want  []string
	}{
		{"nothing measured", func(*worktest.Shop, *release.Service) {}, []string{"not_inspected"}},
		{"passed", func(h *worktest.Shop, _ *release.Service) { h.MustRecord(h.Extremes()) }, nil},
		{"failed", func(h *worktest.Shop, _ *release.Service) {
			sub := h.Extremes()
			sub.Sets[0].Values = []string{"0.9", "-0.9"}
			h.MustRecord(sub)
		}, []string{"result_failed"}},
		{"a later fail after a pass", func(h *worktest.Shop, _ *release.Service) {
			h.MustRecord(h.Extremes())
			sub := h.Extremes()
			sub.Stage, sub.StartedAt, sub.FinishedAt = models.Recheck, h.Now, h.Now
			sub.Sets[1].Values = []string{"0.9", "-0.9"}
			h.MustRecord(sub)
		}, []string{"result_failed", "on_hold"}},
		{"dish left out", func(h *worktest.Shop, _ *release.Service) {
			sub := h.Extremes()
			sub.Sets = slices.Delete(sub.Sets, 2, 3)
			h.MustRecord(sub)
		}, []string{"not_measured"}},
		{"on hold", func(h *worktest.Shop, s *release.Service) {
			h.MustRecord(h.Extremes())
			_, err := s.RaiseHold(h.Context(), h.Operator, release.HoldRequest{Item: h.Serial[models.KindWheel], Code: "W14", Reason: "step at the joint"})
			h.Must(err)
		}, []string{"on_hold"}},
		{"before relief only", func(h *worktest.Shop, _ *release.Service) {
			sub := h.Extremes()
			sub.Stage = models.BeforeRelief
			h.MustRecord(sub)
		}, []string{"not_inspected"}},
	} {
		t.Run(c.name, func(t *testing.T) {
			h := worktest.New(t)
			drawn := 0
			s := service(h, &drawn)
			c.setUp(h, s)
			blocking, err := s.Gate(t.Context(), h.Item[models.KindWheel].ID)
			h.Must(err)
			var got []string
			for _, b := range blocking {
				got = append(got, b.Code)
			}
			if !slices.Equal(got, c.want) {
				t.Errorf("blocked by %v, want %v", got, c.want)
			}
			_, err = s.Issue(t.Context(), h.Owner, h.Item[models.KindWheel].ID, "")
			if c.want == nil && err != nil {
				t.Errorf("a free item was refused: %v", err)
			}
			if c.want != nil && !slices.Equal(refusals(err), c.want) {
				t.Errorf("refused with %v, want %v", refusals(err), c.want)
			}
		})
	}
}

func TestACertificateFreezesWhatWasMeasured(t *testing.T) {
	worktest.Each(t, func(t *testing.T, h *worktest.Shop) {
		drawn := 0
		s := service(h, &drawn)
		h.Must(h.Store.SetSetting(t.Context(), models.NewStamp(h.Owner, h.Now), models.SettingShopName, "Test works"))
		h.MustRecord(h.Extremes())
		c, err := s.Issue(t.Context(), h.Operator, h.Item[models.KindWheel].ID, "")
		h.Must(err)
		if c.Number != "C31-00001" || c.Revision != 1 {
			t.Errorf("number %s revision %d, want C31-00001 revision 1", c.Number, c.Revision)
		}
		var content models.CertificateContent
		h.Must(json.Unmarshal([]byte(c.Content), &content))
		if !content.SelfReleased || content.Issuer.Name != "Test works" || content.Version != 2 || content.Verdict != models.VerdictPass {
			t.Errorf("content: self released %v, issuer %q, version %d, verdict %s", content.SelfReleased, content.Issuer.Name, content.Version, content.Verdict)
		}
		shown := map[string]models.CertificateResult{}
		for _, r := range content.Results {
			shown[r.Code] = r
		}
		if r := shown["lateral_tir"]; r.Shown != "0.22" || r.High != "0.30" || r.Readings != 2 {
			t.Errorf("lateral: %+v", r)
		}
		if r := shown["adjacent_diff_pct_a"]; !r.Missing {
			t.Errorf("a sample has no neighbour difference; the certificate says %+v", r)
		}
		if strings.Contains(c.Content, "customer") {
			t.Error("a customer entered the content")
		}
		item, err := h.Store.Item(t.Context(), c.ItemID)
		h.Must(err)
		if item.State != models.StateReleased {
			t.Errorf("the item is %s, want released", item.State)
		}
	})
}

// Days and moments of one certificate are told by one clock, the shop's; how far it
// stood from UTC is of the moment (IANA time zones: Santiago 4 hours behind in May).
func TestTheMomentsOfACertificateAreByTheShopsClock(t *testing.T) {
	for name, want := range map[string]string{"Pacific/Kiritimati": "+14:00", "America/Santiago": "-04:00", "Asia/Kolkata": "+05:30", "UTC": ""} {
		h := worktest.New(t)
		zone, err := time.LoadLocation(name)
		h.Must(err)
		s := release.New(h.Store, h.Clock, func(context.Context) *time.Location { return zone }, func(release.Drawing) ([]byte, error) { return nil, nil })
		s.SealBy(worktest.NewSigner())
		h.MustRecord(h.Extremes())
		c, err := s.Issue(t.Context(), h.Owner, h.Item[models.KindWheel].ID, "")
		h.Must(err)
		var content models.CertificateContent
		h.Must(json.Unmarshal([]byte(c.Content), &content))
		if got, measured := content.IssuedOffset, content.Inspection.Offset; got != want || measured != want {
			t.Errorf("%s: offsets %q and %q, want %q", name, got, measured, want)
		}
	}
}

// A value stands as fine as the limit that it is held against: the sum of a pack of
// three blocks may differ by 0.029 V, and 0.00 says nothing about that.
func TestACertificateIsAsFineAsItsLimits(t *testing.T) {
	h := worktest.New(t)
	drawn := 0
	h.MustRecord(h.Pack())
	c, err := service(h, &drawn).Issue(t.Context(), h.Owner, h.Item[models.KindPack].ID, "")
	h.Must(err)
	var content models.CertificateContent
	h.Must(json.Unmarshal([]byte(c.Content), &content))
	decimals := func(text string) int {
		_, fraction, _ := strings.Cut(text, ".")
		return len(fraction)
	}
	compared, fine := 0, 0
	for _, r := range content.Results {
		for _, limit := range []string{r.Low, r.High} {
			if limit != "" {
				compared++
				fine = max(fine, decimals(limit))
			}
			if decimals(r.Shown) < decimals(limit) {
				t.Errorf("%s stands as %s beside its limit %s", r.Code, r.Shown, limit)
			}
		}
	}
	if compared == 0 || fine < 3 {
		t.Errorf("%d limits compared, the finest with %d decimals: the test says nothing", compared, fine)
	}
}

// A gauge that is calibrated between measuring and release: the paper names the
// calibration that the readings rest on, and that it was overdue then.
func TestACertificateNamesTheCalibrationOfItsReadings(t *testing.T) {
	for _, c := range []struct {
		name          string
		before, after [3]string // calibrated, due, certificate
		want          [3]string
		overdue       bool
	}{
		{"as it was, in date", [3]string{"2031-01-10", "2032-01-10", "K-1"}, [3]string{"2031-01-10", "2032-01-10", "K-1"}, [3]string{"2031-01-10", "2032-01-10", "K-1"}, false},
		{"calibrated since, in date then", [3]string{"2030-06-01", "2031-06-01", "K-1"}, [3]string{"2031-05-14", "2032-05-14", "K-2"}, [3]string{"2030-06-01", "2031-06-01", "K-1"}, false},
		{"calibrated since, overdue then", [3]string{"2030-05-11", "2031-05-11", "K-1"}, [3]string{"2031-05-14", "2032-05-14", "K-2"}, [3]string{"2030-05-11", "2031-05-11", "K-1"}, true},
		{"calibrated later on the same day", [3]string{"2030-05-11", "2031-05-11", "K-1"}, [3]string{"2031-05-12", "2032-05-12", "K-2"}, [3]string{"2030-05-11", "2031-05-11", "K-1"}, true},
		{"calibrated before, entered since", [3]string{"2030-05-11", "2031-05-11", "K-1"}, [3]string{"2031-05-10", "2032-05-10", "K-2"}, [3]string{"2031-05-10", "2032-05-10", "K-2"}, false},
		{"never calibrated by what is known", [3]string{"", "", ""}, [3]string{"2031-05-14", "2032-05-14", "K-2"}, [3]string{"", "", ""}, false},
		{"due on the day itself", [3]string{"2030-05-12", "2031-05-12", "K-1"}, [3]string{"2031-05-14", "2032-05-14", "K-2"}, [3]string{"2030-05-12", "2031-05-12", "K-1"}, false},
	} {
		t.Run(c.name, func(t *testing.T) {
			worktest.Each(t, func(t *testing.T, h *worktest.Shop) {
				drawn := 0
				s := service(h, &drawn)
				found, err := h.Store.InstrumentsByCode(t.Context(), []string{"D-1"})
				h.Must(err)
				calibrate := func(at time.Time, as [3]string) {
					_, err := h.Store.ChangeInstrument(t.Context(), models.NewStamp(h.Owner, at), found[0].ID, func(i *models.Instrument) error {
						i.CalibratedOn, i.DueOn, i.CertificateNumber = as[0], as[1], as[2]
						return nil
					})
					h.Must(err)
				}
				calibrate(h.Now.AddDate(0, 0, -9), c.before)
				h.MustRecord(h.Extremes()) // on 12 May 2031
				h.Now = h.Now.AddDate(0, 0, 3)
				calibrate(h.Now, c.after)
				issued, err := s.Issue(t.Context(), h.Owner, h.Item[models.KindWheel].ID, "")
				h.Must(err)
				var content models.CertificateContent
				h.Must(json.Unmarshal([]byte(issued.Content), &content))
				k := slices.IndexFunc(content.Instruments, func(i models.CertificateInstrument) bool { return i.Code == "D-1" })
				got := content.Instruments[k]
				if [3]string{got.CalibratedOn, got.DueOn, got.Certificate} != c.want || got.Overdue != c.overdue {
					t.Errorf("the certificate names %s, due %s, %s, overdue %v; want %v, overdue %v", got.CalibratedOn, got.DueOn, got.Certificate, got.Overdue, c.want, c.overdue)
				}
			})
		})
	}
}

func TestPaperIsDrawnOnceAndKept(t *testing.T) {
	worktest.Each(t, func(t *testing.T, h *worktest.Shop) {
		drawn := 0
		s := service(h, &drawn)
		h.MustRecord(h.Extremes())
		first, err := s.Issue(t.Context(), h.Owner, h.Item[models.KindWheel].ID, "")
		h.Must(err)
		for range 3 {
			pdf, name, err := s.Paper(t.Context(), first.ID)
			h.Must(err)
			if want := "paper of " + first.ContentHash + " issued"; string(pdf) != want || name != "C31-00001-1.pdf" {
				t.Errorf("got %q named %s, want %q", pdf, name, want)
			}
		}
		if drawn != 1 {
			t.Errorf("drawn %d times, want once", drawn)
		}
		if _, err := s.Issue(t.Context(), h.Owner, first.ItemID, ""); err == nil {
			t.Error("a replacement without a reason was issued")
		}
		second, err := s.Issue(t.Context(), h.Owner, first.ItemID, "spoke replaced")
		h.Must(err)
		if second.Number != first.Number || second.Revision != 2 {
			t.Errorf("the replacement is %s revision %d", second.Number, second.Revision)
		}
		pdf, _, err := s.Paper(t.Context(), first.ID)
		h.Must(err)
		if !strings.HasSuffix(string(pdf), models.Superseded) {
			t.Errorf("the old paper is %q, want it marked superseded", pdf)
		}
		original, name, err := s.Original(t.Context(), first.ID)
		h.Must(err)
		if want := "paper of " + first.ContentHash + " issued"; string(original) != want || name != "C31-00001-1-original.pdf" {
			t.Errorf("the original is %q named %s, want %q", original, name, want)
		}
		if drawn != 2 {
			t.Errorf("drawn %d times, want once a state", drawn)
		}
		if err := s.Void(t.Context(), h.Owner, first.ID, "late"); !slices.Equal(refusals(err), []string{"already_superseded"}) {
			t.Errorf("a superseded one was voided: %v", err)
		}
	})
}

// full is a store on a disk without room: it keeps no paper.
type full struct{ *store.Store }

func (full) KeepPaper(context.Context, models.CertificatePaper, models.File) error {
	return &models.UnavailableError{Code: models.DiskFull, Cause: errors.New("no room")}
}

// While nothing can be kept, a certificate that nobody opened yet is drawn for who asks,
// and kept by the next who does after that.
func TestAPaperIsHandedOutWhileNothingCanBeKept(t *testing.T) {
	h := worktest.New(t)
	drawn := 0
	s := service(h, &drawn)
	h.MustRecord(h.Extremes())
	c, err := s.Issue(t.Context(), h.Owner, h.Item[models.KindWheel].ID, "")
	h.Must(err)
	away := release.New(full{h.Store}, h.Clock, worktest.Zone, func(d release.Drawing) ([]byte, error) { return []byte("paper of " + d.Hash), nil })
	for range 2 {
		if pdf, _, err := away.Paper(t.Context(), c.ID); err != nil || string(pdf) != "paper of "+c.ContentHash {
			t.Errorf("while nothing can be kept: %q, %v", pdf, err)
		}
	}
	if _, _, err := s.Paper(t.Context(), c.ID); err != nil || drawn != 1 {
		t.Errorf("afterwards: drawn %d times, %v", drawn, err)
	}
}

func TestAVoidKeepsItsNumber(t *testing.T) {
	worktest.Each(t, func(t *testing.T, h *worktest.Shop) {
		drawn := 0
		s := service(h, &drawn)
		h.MustRecord(h.Extremes())
		c, err := s.Issue(t.Context(), h.Owner, h.Item[models.KindWheel].ID, "")
		h.Must(err)
		if err := s.Void(t.Context(), h.Owner, c.ID, ""); err == nil {
			t.Error("voided without a reason")
		}
		h.Must(s.Void(t.Context(), h.Owner, c.ID, "wrong wheel in the box"))
		if err := s.Void(t.Context(), h.Owner, c.ID, "again"); !errors.Is(err, models.ErrConflict) || !slices.Equal(refusals(err), []string{"already_void"}) {
			t.Errorf("voided twice: %v", err)
		}
		view, err := s.ByNumber(t.Context(), c.Number, 1)
		h.Must(err)
		if view.State != models.Void {
			t.Errorf("state %s, want void", view.State)
		}
		next, err := s.Issue(t.Context(), h.Owner, c.ItemID, "")
		h.Must(err)
		if next.Number != "C31-00002" || next.Revision != 1 {
			t.Errorf("after a void: %s revision %d, want a new number", next.Number, next.Revision)
		}
	})
}

func TestAnOperatorReleasesOwnWorkOnly(t *testing.T) {
	worktest.Each(t, func(t *testing.T, h *worktest.Shop) {
		drawn := 0
		s := service(h, &drawn)
		_, err := h.Capture.Record(t.Context(), h.Owner, h.Extremes(), h.Now)
		h.Must(err)
		if _, err := s.Issue(t.Context(), h.Operator, h.Item[models.KindWheel].ID, ""); !errors.Is(err, models.ErrForbidden) {
			t.Errorf("got %v, want forbidden", err)
		}
	})
}

func TestAHoldRemembersWhatWasBefore(t *testing.T) {
	worktest.Each(t, func(t *testing.T, h *worktest.Shop) {
		drawn := 0
		s := service(h, &drawn)
		h.MustRecord(h.Extremes())
		serial := h.Serial[models.KindWheel]
		first, err := s.RaiseHold(t.Context(), h.Operator, release.HoldRequest{Item: serial, Code: "W14", Reason: "step"})
		h.Must(err)
		second, err := s.RaiseHold(t.Context(), h.Operator, release.HoldRequest{Item: serial, Code: "other", Reason: "a noise"})
		h.Must(err)
		state := func() string {
			item, err := h.Store.ItemBySerial(t.Context(), serial)
			h.Must(err)
			return item.State
		}
		h.Now = h.Now.Add(time.Second)
		lift, err := s.LiftHold(t.Context(), h.Owner, first.ID, "no_fault_found", "measured again")
		h.Must(err)
		kept, err := h.Store.HoldsOf(t.Context(), h.Item[models.KindWheel].ID)
		if h.Must(err); len(kept) != 2 || kept[1].Lift == nil || *kept[1].Lift != lift || !lift.LiftedAt.Equal(h.Now) {
			t.Errorf("a lift %+v is kept as %+v", lift, kept)
		}
		if state() != models.StateHeld {
			t.Errorf("with one hold of two lifted the item is %s", state())
		}
		_, err = s.LiftHold(t.Context(), h.Owner, second.ID, "raised_in_error", "another wheel")
		h.Must(err)
		if state() != models.StateConforming {
			t.Errorf("with both lifted the item is %s, want conforming", state())
		}
		if _, err := s.LiftHold(t.Context(), h.Owner, second.ID, "other", "again"); !errors.Is(err, models.ErrConflict) {
			t.Errorf("lifted twice: %v", err)
		}
		if _, err := s.RaiseHold(t.Context(), h.Operator, release.HoldRequest{Item: serial, Code: "Z99"}); err == nil {
			t.Error("an unknown code without a reason was taken")
		}
	})
}

func TestNumbersHaveNoGapsUnderManyIssuers(t *testing.T) {
	worktest.Each(t, func(t *testing.T, h *worktest.Shop) {
		drawn := 0
		s := service(h, &drawn)
		var items []models.Item
		for range 12 {
			item := h.AnotherWheel()
			sub := h.Extremes()
			sub.Serial = *item.Serial
			h.MustRecord(sub)
			items = append(items, item)
		}
		var wait sync.WaitGroup
		numbers := make([]string, len(items))
		for i, item := range items {
			wait.Go(func() {
				c, err := s.Issue(t.Context(), h.Owner, item.ID, "")
				if err != nil {
					t.Error(err)
				}
				numbers[i] = c.Number
			})
		}
		wait.Wait()
		slices.Sort(numbers)
		for i, n := range numbers {
			if want := fmt.Sprintf("C31-%05d", i+1); n != want {
				t.Errorf("number %d is %s, want %s", i, n, want)
			}
		}
	})
}
