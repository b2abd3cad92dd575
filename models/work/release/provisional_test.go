package release_test

import (
	"encoding/json"
	"testing"

	"tracewright/models"
	"tracewright/models/work/worktest"
)

// A pack that rested long enough to be read, and not to be read in full, is released
// all the same, and its certificate says that its verdict is provisional.
func TestAProvisionalVerdictIsReleased(t *testing.T) {
	h := worktest.New(t)
	drawn := 0
	s := service(h, &drawn)
	pack := h.Pack()
	pack.Conditions.RestHours = "6"
	if got := h.MustRecord(pack).Inspection.Verdict; got != models.VerdictProvisional {
		t.Fatalf("the test rests on a provisional verdict, and it is %s", got)
	}
	item := h.Item[models.KindPack]
	against, err := s.Gate(t.Context(), item.ID)
	h.Must(err)
	if len(against) != 0 {
		t.Errorf("the gate has against it %+v", against)
	}
	c, err := s.Issue(t.Context(), h.Owner, item.ID, "")
	h.Must(err)
	var content models.CertificateContent
	h.Must(json.Unmarshal([]byte(c.Content), &content))
	if content.Verdict != models.VerdictProvisional {
		t.Errorf("the certificate says %s", content.Verdict)
	}
}

// A newer revision holds back what was judged by an older one where it is said to apply
// to stock, and only there.
func TestANewerRevisionHoldsBackStock(t *testing.T) {
	h := worktest.New(t)
	drawn := 0
	s := service(h, &drawn)
	h.MustRecord(h.Extremes())
	wheel := h.Item[models.KindWheel]
	for _, stock := range []bool{false, true} {
		spec, err := h.Store.SpecificationInForce(t.Context(), *wheel.FamilyID, wheel.ProductID)
		h.Must(err)
		spec.ID, spec.Revision, spec.Reason, spec.AppliesToStock = models.NewID(), spec.Revision+1, "r", stock
		h.Must(h.Store.AddSpecification(t.Context(), models.NewStamp(h.Owner, h.Now), spec))
		against, err := s.Gate(t.Context(), wheel.ID)
		h.Must(err)
		if held := len(against) == 1 && against[0].Code == "specification_newer"; held != stock || !stock && len(against) > 0 {
			t.Errorf("applies to stock %v, and the gate has against it %+v", stock, against)
		}
	}
}
