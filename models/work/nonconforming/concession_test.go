package nonconforming_test

import (
	"strings"
	"testing"

	"tracewright/models"
	"tracewright/models/work/nonconforming"
	"tracewright/models/work/worktest"
)

// A concession is proposed and approved, each a step; its certificate shows the
// fail under it, it holds for that inspection alone, and voiding the paper gives
// the item back as conceded.
func TestConcession(t *testing.T) {
	worktest.Each(t, func(t *testing.T, h *worktest.Shop) {
		b := on(h)
		b.read(models.AfterRelief, "0.9")
		b.open()
		b.Must(b.dispose("use_as_is", ""))
		b.is(models.StateConcessionPending)
		if got := b.blocked(); got != "result_failed waits_in_state on_hold" {
			t.Errorf("blocked by %q before it is approved", got)
		}
		b.refuses(b.work.Approve(t.Context(), b.Owner, b.number, false, ""), "note: reason_needed")
		b.Must(b.work.Approve(t.Context(), b.Owner, b.number, false, "ask the customer first"))
		b.is(models.StateHeld)
		b.Must(b.dispose("use_as_is", ""))
		b.later()
		b.Must(b.work.Approve(t.Context(), b.Owner, b.number, true, ""))
		b.is(models.StateConceded)
		if got := b.blocked(); got != "" {
			t.Errorf("blocked by %q under the concession", got)
		}
		certificate, err := b.gate.Issue(t.Context(), b.Owner, b.wheel.ID, "")
		b.Must(err)
		for _, want := range []string{`"concession":{"approved_by":{"name":"Test owner","role":"owner"}`, `"number":"NC31-00001"`, `"results":["lateral_tir"]`, `"verdict":"fail"`} {
			if !strings.Contains(certificate.Content, want) {
				t.Errorf("the content lacks %s: %s", want, certificate.Content)
			}
		}
		b.is(models.StateReleased)
		b.Must(b.gate.Void(t.Context(), b.Owner, certificate.ID, "a slip"))
		b.is(models.StateConceded)
		b.read(models.Recheck, "0.9")
		b.is(models.StateHeld)
		if got := b.blocked(); got != "result_failed on_hold" {
			t.Errorf("blocked by %q after a recheck that nobody conceded", got)
		}
	})
}

// What no result shows is conceded as well: the certificate names the concession
// with what was found, and voiding it gives the item back as conceded, not as one
// that conforms.
func TestConcessionOfWhatNoResultShows(t *testing.T) {
	worktest.Each(t, func(t *testing.T, h *worktest.Shop) {
		b := on(h)
		b.read(models.AfterRelief, "0.2")
		b.is(models.StateConforming)
		b.open()
		b.Must(b.dispose("use_as_is", ""))
		b.Must(b.work.Approve(t.Context(), b.Owner, b.number, true, ""))
		certificate, err := b.gate.Issue(t.Context(), b.Owner, b.wheel.ID, "")
		b.Must(err)
		for _, want := range []string{`"number":"NC31-00001","reason":"swings at the joint; so","results":[]`, `"verdict":"pass"`} {
			if !strings.Contains(certificate.Content, want) {
				t.Errorf("the content lacks %s: %s", want, certificate.Content)
			}
		}
		b.Must(b.gate.Void(t.Context(), b.Owner, certificate.ID, "a slip"))
		b.is(models.StateConceded)
		// No later reading shows it to be gone.
		b.read(models.Recheck, "0.1")
		for _, reason := range []string{"", "a name put right"} {
			b.read(models.Recheck, "0.1")
			again, err := b.gate.Issue(t.Context(), b.Owner, b.wheel.ID, reason)
			b.Must(err)
			if !strings.Contains(again.Content, `"number":"NC31-00001"`) {
				t.Errorf("%q: the concession is lost: %s", reason, again.Content)
			}
		}
		// A rework does: the concession bears on nothing any more.
		b.open()
		b.Must(b.dispose("rework", "rim_change"))
		b.Must(b.work.Done(t.Context(), b.Operator, b.number, ""))
		b.read(models.AfterRelief, "0.2")
		b.is(models.StateConforming)
		mended, err := b.gate.Issue(t.Context(), b.Owner, b.wheel.ID, "a new rim")
		b.Must(err)
		if strings.Contains(mended.Content, `"concession"`) {
			t.Error("under a concession that a rework ended")
		}
	})
}

// What lies in a guard band is decided by a concession as well: then nothing holds
// it back, though no inspection passed it.
func TestConcessionOfWhatIsUndecided(t *testing.T) {
	worktest.Each(t, func(t *testing.T, h *worktest.Shop) {
		b := on(h)
		spec, err := b.Store.SpecificationInForce(t.Context(), *b.wheel.FamilyID, b.wheel.ProductID)
		b.Must(err)
		spec.ID, spec.Revision, spec.Reason = models.NewID(), spec.Revision+1, "guarded"
		limit := &spec.Characteristics[0].Results[0]
		limit.U, limit.Rule, limit.GuardFactor = "0.05", "nonbinary", "1"
		b.Must(b.Store.AddSpecification(t.Context(), models.NewStamp(b.Owner, b.Now), spec))
		b.read(models.AfterRelief, "0.27") // 0.30 less 0.05 is 0.25: neither yes nor no.
		if got := b.blocked(); got != "result_undecided" {
			t.Errorf("blocked by %q", got)
		}
		b.open()
		b.Must(b.dispose("use_as_is", ""))
		b.Must(b.work.Approve(t.Context(), b.Owner, b.number, true, ""))
		if got := b.blocked(); got != "" {
			t.Errorf("blocked by %q under the concession", got)
		}
		_, err = b.gate.Issue(t.Context(), b.Owner, b.wheel.ID, "")
		b.Must(err)
	})
}

// The option: whoever proposed does not approve, whoever decided does not confirm.
func TestAnotherPersonApproves(t *testing.T) {
	worktest.Each(t, func(t *testing.T, h *worktest.Shop) {
		b := on(h)
		b.Must(b.Store.SetSetting(t.Context(), models.NewStamp(b.Owner, b.Now), models.SettingSecondPerson, "use_as_is scrap"))
		second := b.Operator
		b.read(models.AfterRelief, "0.9")
		b.open()
		b.Must(b.dispose("use_as_is", ""))
		b.refuses(b.work.Approve(t.Context(), b.Owner, b.number, true, ""), "second_person_decides")
		b.Must(b.work.Approve(t.Context(), b.Owner, b.number, false, "no"))
		b.Must(b.dispose("scrap", ""))
		b.refuses(b.work.Confirm(t.Context(), b.Owner, b.number, true, ""), "second_person_decides")
		b.refuses(b.work.Confirm(t.Context(), second, b.number, false, ""), "marked: scrap_unmarked")
		b.Must(b.work.Confirm(t.Context(), second, b.number, true, "in the bin"))
		b.is(models.StateScrapped)
		if got := b.blocked(); !strings.Contains(got, "waits_in_state") {
			t.Errorf("blocked by %q when it is scrapped", got)
		}
		_, err := b.work.Add(t.Context(), b.Operator, nonconforming.Opening{Item: *b.wheel.Serial, Code: "W01", Note: "again"})
		b.refuses(err, "nonconformity_not_here")
	})
}
