package trust

import (
	"crypto/x509"
	"testing"
	"time"
)

// A clock that was once set past the authority's end takes nothing from the tablets that
// trust it, and an authority of that clock is not shown once it is set right.
func TestAClockThatWasWrongOnce(t *testing.T) {
	m := newMachine(t)
	right := m.at
	first := m.open(t).authority.certificate
	opened := func(name string, at time.Time, want *x509.Certificate) *x509.Certificate {
		t.Helper()
		m.at = at
		got := m.open(t).authority.certificate
		if want != nil && !got.Equal(want) || at.After(right) && (at.Before(got.NotBefore) || !at.Before(got.NotAfter)) {
			t.Errorf("%s: an authority from %s to %s", name, got.NotBefore, got.NotAfter)
		}
		return got
	}
	later := opened("the clock is twelve years ahead", right.AddDate(12, 0, 0), nil)
	opened("it is set right", right.Add(time.Hour), first)
	opened("its battery is lost", time.Date(2000, 1, 1, 0, 0, 0, 0, time.UTC), first)
	opened("twelve years on", right.AddDate(12, 0, 1), later)

	m = newMachine(t)
	m.at = right.AddDate(12, 0, 0)
	later = m.open(t).authority.certificate
	made := opened("begun while the clock was ahead", right.Add(time.Hour), nil)
	opened("started again", right.Add(2*time.Hour), made)
	if made.Equal(later) {
		t.Error("what is not valid yet is shown")
	}
}

// One start with a clock that is behind takes nothing from the tablets that trust the
// authority: what stands in for it then does so while it is not good, and no longer.
func TestAClockThatWasBehindOnce(t *testing.T) {
	for _, back := range []time.Duration{3 * time.Hour, 200 * 24 * time.Hour, 5 * 365 * 24 * time.Hour} {
		m := newMachine(t)
		right := m.at
		first := m.open(t).authority.certificate
		m.at = right.Add(-back)
		if m.at.Before(firstMoment) {
			m.at = firstMoment
		}
		standIn := m.open(t).authority.certificate
		if m.at.Before(standIn.NotBefore) || standIn.Equal(first) {
			t.Errorf("%s behind: an authority from %s", back, standIn.NotBefore)
		}
		if again := m.open(t).authority.certificate; !again.Equal(standIn) {
			t.Errorf("%s behind: another at each start", back)
		}
		if _, read, err := Read(m.folder); err != nil || !read.Equal(standIn) {
			t.Errorf("%s behind: read as another than is shown, %v", back, err)
		}
		for _, on := range []time.Time{right.Add(time.Hour), right.AddDate(1, 0, 0), right.AddDate(9, 11, 0)} {
			m.at = on
			l := m.open(t)
			if !l.authority.certificate.Equal(first) {
				t.Errorf("%s behind once, on %s: an authority from %s", back, on, l.authority.certificate.NotBefore)
			}
			if err := trusts(l, leaf(t, l), "truing-pc", on); err != nil {
				t.Errorf("%s behind once, on %s: %v", back, on, err)
			}
		}
	}
}
