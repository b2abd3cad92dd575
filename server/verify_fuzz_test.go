package main

import (
	"testing"

	"tracewright/models/trail"
)

// Whatever is held out as the content of a certificate with its signature: nothing
// is good that no trusted key signed, and nothing fails otherwise than by an error.
func FuzzEnclosed(f *testing.F) {
	f.Add([]byte(`{"number":"C31-00001","revision":1,"key":"ab"}`), []byte(`{"key_id":"ab","value":"00"}`))
	f.Add([]byte(`{"number":"C31-00001","number":"C31-00002"}`), []byte(`{}`))
	f.Add([]byte(`{"number":"\ud800"}`), []byte(`null`))
	f.Add([]byte(`[`), []byte(``))
	f.Fuzz(func(t *testing.T, content, signature []byte) {
		for _, files := range []map[string][]byte{{"c" + contentEnd: content, "c" + signatureEnd: signature}, {"c" + contentEnd: content}} {
			found, err := enclosedIn(files)
			if err != nil {
				continue
			}
			if err := found.verify(trail.Keys{}); err == nil {
				t.Errorf("%q is good without a key", content)
			}
		}
		if _, err := enclosedInPDF(content); err == nil {
			t.Errorf("%.100q holds a certificate", content)
		}
	})
}
