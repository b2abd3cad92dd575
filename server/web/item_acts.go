package web

import (
	"tracewright/models"
	"tracewright/models/words"
	"tracewright/models/work/trace"
)

// itemActs are the acts in their fixed order: certificate, recording, hold.
// whyNot says what keeps a first certificate back.
func (s *site) itemActs(frame Frame, path string, v trace.ItemView, refusals []models.Remark) (acts []Act, whyNot []string) {
	certificate := v.Certificate()
	if certificate != nil {
		acts = append(acts, Act{Text: "Open certificate", Path: certificatePath(certificate.Certificate)})
	}
	made := v.Item.Kind == models.KindWheel || v.Item.Kind == models.KindPack
	if made && frame.Actor.May(models.ActRelease) {
		for _, r := range refusals {
			whyNot = append(whyNot, sayOf(v.Latest(), r))
		}
		switch {
		case certificate == nil && len(whyNot) > 0:
			acts = append(acts, Act{Text: "Issue certificate", WhyNot: whyNot[0]})
		case certificate == nil:
			acts = append(acts, Act{Text: "Issue certificate", Path: path + "/release"})
		case len(whyNot) == 0:
			acts = append(acts, Act{Text: "Issue a new revision", Path: path + "/release"})
		default:
			whyNot = nil // It is certified; what keeps a revision back is told on its page.
		}
	}
	if v.Item.State == models.StateScrapped || v.Item.State == models.StateReturned { // Nothing is left to measure or to stop.
		markFirst(acts, false)
		return acts, whyNot
	}
	if made && frame.Actor.May(models.ActRecord) {
		text := "Record"
		if len(v.Inspections) > 0 {
			text = "Record again"
		}
		acts = append(acts, Act{Text: text, Path: recordPath(v.Item.Kind) + "?serial=" + words.Serial(v.Item.Name())})
	}
	open := v.OpenHolds()
	decide := len(open) > 0 && frame.Actor.May(models.ActLiftHold)
	if decide {
		acts = append(acts, Act{Text: "Decide on the hold", Path: "/holds/" + open[0].ID + "/lift", Bars: true})
	} else if frame.Actor.May(models.ActRaiseHold) {
		acts = append(acts, Act{Text: "Hold", Path: path + "/hold", Bars: true})
	}
	markFirst(acts, decide)
	return acts, whyNot
}

// markFirst fills one button: the decision that everything waits for where an
// item is on hold, the first act that can be done elsewhere.
func markFirst(acts []Act, decide bool) {
	if decide {
		acts[len(acts)-1].First = true
		return
	}
	for i := range acts {
		if acts[i].WhyNot == "" && !acts[i].Bars {
			acts[i].First = true
			return
		}
	}
}
