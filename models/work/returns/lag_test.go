package returns

import (
	"testing"

	"tracewright/models"
	"tracewright/models/numbers/life"
	"tracewright/models/work/worktest"
)

// 30 wheels left 100 days ago, six of them back after 40 to 90 days, and 25 left five
// days ago. Where service begins 30 days after shipment, that of the 25 has not: the
// law rests on the 30, and they have nobody's age. The ages are a month shorter.
func TestWhatHasNotBegunServiceHasNoAge(t *testing.T) {
	each(t, func(t *testing.T, h *worktest.Shop, s *Service) {
		wheels(h, 30, h.Now.AddDate(0, 0, -100), nil, 40, 50, 60, 70, 80, 90)
		wheels(h, 25, h.Now.AddDate(0, 0, -5), nil)
		v, err := s.View(t.Context(), Query{FamilyID: *h.Item[models.KindWheel].FamilyID, LagDays: 30})
		h.Must(err)
		if v.Share.N != 55 || v.Waiting != 25 || v.Curve.Units != 30 || v.Law.Fit == nil || v.Law.Fit.Units != 30 {
			t.Errorf("share %+v, %d wait, curve of %d, law %+v", v.Share, v.Waiting, v.Curve.Units, v.Law.Fit)
		}
		var lives []life.Observation
		for _, days := range []float64{10, 20, 30, 40, 50, 60} {
			lives = append(lives, life.Observation{Time: days / daysAMonth, Failed: true, Count: 1})
		}
		want, err := life.FitWeibull(append(lives, life.Observation{Time: 70 / daysAMonth, Count: 24}))
		h.Must(err)
		near(t, "shape", v.Law.Fit.Shape(), want.Shape(), 1e-9)
		if v.Ahead[0].StillOut != 49 || v.MonthsCompared != 0 {
			t.Errorf("%d still out, %d months compared", v.Ahead[0].StillOut, v.MonthsCompared)
		}
		if !says(v, "returns_waiting", "count", "25") || !says(v, "returns_from_lag", "days", "30") {
			t.Errorf("said %+v", v.Says())
		}
	})
}

// A claim before service can have begun contradicts the days that are stated. Service is
// counted from shipment then, and that is said: the answer is the one without a lag.
func TestALagThatTheClaimsContradictIsNotUsed(t *testing.T) {
	each(t, func(t *testing.T, h *worktest.Shop, s *Service) {
		wheels(h, 30, h.Now.AddDate(0, 0, -100), nil, 10, 20, 60, 70, 80, 90)
		q := Query{FamilyID: *h.Item[models.KindWheel].FamilyID}
		plain, err := s.View(t.Context(), q)
		h.Must(err)
		q.LagDays = 30
		v, err := s.View(t.Context(), q)
		h.Must(err)
		if v.Waiting != 0 || v.Law.Fit.Shape() != plain.Law.Fit.Shape() || v.Until != plain.Until {
			t.Errorf("shape %v, want %v without a lag", v.Law.Fit.Shape(), plain.Law.Fit.Shape())
		}
		if !says(v, "returns_lag_early", "count", "2") || says(v, "returns_from_lag", "days", "30") {
			t.Errorf("said %+v", v.Says())
		}
		// A day that is the stated one contradicts nothing.
		q.LagDays = 10
		if v, err = s.View(t.Context(), q); err != nil || !says(v, "returns_from_lag", "days", "10") {
			t.Errorf("said %+v, %v", v.Says(), err)
		}
	})
}

// While nothing has begun service there is no curve and no law, and it is said why.
func TestNothingHasBegunServiceYet(t *testing.T) {
	each(t, func(t *testing.T, h *worktest.Shop, s *Service) {
		wheels(h, 30, h.Now.AddDate(0, 0, -5), nil)
		v, err := s.View(t.Context(), Query{FamilyID: *h.Item[models.KindWheel].FamilyID, LagDays: 30})
		h.Must(err)
		if v.Law != nil || len(v.Ahead) != 0 || v.Until != 0 || v.Share.N != 30 || !says(v, "returns_waiting", "count", "30") {
			t.Errorf("%+v: %+v", v.Share, v.Says())
		}
	})
}

// Five claims that are booked on one day, of wheels that left on one day, at the end of
// all ages: there is an answer, over the assumed shapes, on the page and in the review.
func TestClaimsBookedOnOneDayAreOneAge(t *testing.T) {
	each(t, func(t *testing.T, h *worktest.Shop, s *Service) {
		wheels(h, 30, h.Now.AddDate(0, 0, -40), nil, 40, 40, 40, 40, 40)
		v, err := s.View(t.Context(), Query{FamilyID: *h.Item[models.KindWheel].FamilyID})
		h.Must(err)
		if v.Law.Fit != nil || !says(v, "returns_shape_one_age", "k", "5") || !v.Ahead[0].Known {
			t.Errorf("law %+v, said %+v", v.Law, v.Says())
		}
		if said, err := s.Said(t.Context(), h.Now.AddDate(0, 0, -1), h.Now.AddDate(0, 0, 1)); err != nil || len(said) == 0 {
			t.Errorf("the review: %+v, %v", said, err)
		}
	})
}

func says(v View, code, name, value string) bool {
	for _, s := range v.Says() {
		if s.Code == code && s.Values[name] == value {
			return true
		}
	}
	return false
}
