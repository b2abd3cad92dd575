package web

import (
	"slices"

	"tracewright/models"
	"tracewright/models/work/trace"
)

// keepsCertified are the refusals that keep a certified wheel here.
var keepsCertified = []string{"turned_since", "stop_unanswered", "readings_to_repeat"}

// certifiedBand says of an item with a certificate in force what does not agree with
// it: it was turned since, or other parts are in it than are named. nil for nothing.
func certifiedBand(frame Frame, path string, v trace.ItemView, refusals []models.Remark) *Band {
	inForce := v.Certificate()
	if inForce == nil || v.Item.State != models.StateReleased && v.Item.State != models.StateShipped {
		return nil
	}
	for _, r := range refusals {
		if slices.Contains(keepsCertified, r.Code) && v.Item.State == models.StateReleased {
			return &Band{Tone: "fail", Shape: "cross", Title: "It is certified, and may not leave now", Text: sayOf(v.Latest(), r)}
		}
	}
	if v.CertificateNamesItsParts() {
		return nil
	}
	b := &Band{Tone: "fail", Shape: "cross", Title: "Its certificate names other parts than are in it", Text: "What is recorded as built in was changed after it was issued."}
	if v.Item.State == models.StateReleased {
		b.Text += " It does not leave before a revision names them."
	}
	if frame.Actor.May(models.ActRelease) && len(refusals) == 0 {
		b.Act = &Act{Text: "Issue a revision", Path: path + "/release"}
	}
	return b
}
