package models_test

import (
	"testing"

	"tracewright/models"
)

// A factor of ten or of a tenth is not once.
func TestTheRuleInWords(t *testing.T) {
	for _, c := range []struct{ rule, factor, code, said string }{
		{"guarded", "", "guarded_one", "1"},
		{"guarded", "1.0", "guarded_one", "1.0"},
		{"guarded", "10", "guarded", "10"},
		{"guarded", "0.1", "guarded", "0.1"},
		{"nonbinary", "1", "nonbinary", "1"},
		{"simple", "", "simple", "1"},
	} {
		code, factor := models.CertificateSpecification{Rule: c.rule, GuardFactor: c.factor}.RuleInWords()
		if code != c.code || factor != c.said {
			t.Errorf("%s by %q: %s by %q, want %s by %q", c.rule, c.factor, code, factor, c.code, c.said)
		}
	}
}
