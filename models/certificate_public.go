package models

import (
	"strings"

	"tracewright/models/trail"
)

// Token is what the public page of a certificate is found by: the last step of
// the address on its paper; empty where the paper names none.
func (c CertificateContent) Token() string {
	return c.CheckAt[strings.LastIndexByte(c.CheckAt, '/')+1:]
}

// TokenHash is what a token is looked up by, so that no index holds it and the
// time a look-up takes tells nothing of it.
func TokenHash(token string) string { return trail.Digest([]byte(token)) }

// StateAmong finds a certificate among those of its item, and the revision that
// superseded it, 0 where there is none.
func StateAmong(all []CertificateView, id string) (view CertificateView, successor int) {
	for _, v := range all {
		if v.ID == id {
			view = v
		}
		if v.Replaces != nil && *v.Replaces == id {
			successor = v.Revision
		}
	}
	return view, successor
}
