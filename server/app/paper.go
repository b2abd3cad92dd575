package app

import (
	"tracewright/models/words"
	"tracewright/models/work/release"
	"tracewright/reports/certificate"
)

// drawCertificate hands a drawing to the report that makes paper of it.
func drawCertificate(d release.Drawing) ([]byte, error) {
	o := certificate.Options{Raw: d.Canonical, State: d.State, ChangedOn: d.ChangedOn, Successor: d.Successor, Words: words.In("en")}
	if d.Change != nil {
		o.Reason = d.Change.Reason
	}
	return certificate.Draw(d.Content, o)
}
