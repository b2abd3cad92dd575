package app

import (
	"time"

	"tracewright/models/words"
	"tracewright/models/work/labels"
	"tracewright/models/work/release"
	"tracewright/reports/certificate"
	"tracewright/reports/label"
)

// drawLabels hands labels to the report that makes paper of them.
func drawLabels(b labels.Batch, made time.Time) ([]byte, error) {
	return label.Draw(label.Job{Labels: b.Labels, Size: b.Size, Symbol: b.Symbol, Place: b.Place, Made: made, Words: words.In("en")})
}

// drawCertificate hands a drawing to the report that makes paper of it.
func drawCertificate(d release.Drawing) ([]byte, error) {
	o := certificate.Options{Raw: d.Canonical, Signature: d.Signature, State: d.State, ChangedOn: d.ChangedOn, Successor: d.Successor}
	if d.Change != nil {
		o.Reason = d.Change.Reason
	}
	return certificate.Draw(d.Content, o)
}
