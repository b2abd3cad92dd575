package certificate

import (
	"bytes"
	"slices"
	"strings"
	"sync"
	"testing"

	"tracewright/models"
	"tracewright/reports/pdf/pdftest"
)

// A characteristic read by two methods: every hole is drawn, what else was read
// stands below as it was typed.
func TestTwoMethodsOfOneCharacteristic(t *testing.T) {
	c := wheelOf36()
	c.Readings = append([]models.CertificateReadings{
		{Code: "lateral_runout", Method: models.Extremes, Unit: "mm", Values: []string{"0.277", "0.017"}, Index: []models.Position{models.Spoke(4), models.Spoke(17)}},
		{Code: "tension_a", Method: models.Sample, Unit: "N", Values: []string{"1097", "1073", "1079"}, Index: spokesFrom(0, 12, 3)},
	}, c.Readings...)
	pdf, err := Draw(c, Options{Raw: canonical(t, c), Signature: signature(c)})
	if err != nil {
		t.Fatal(err)
	}
	text := pdftest.Text(t, pdf)
	for _, want := range []string{"Lateral run-out: 0.277 (spoke 5); 0.017 (spoke 18) mm.", "Spoke tension, side A: 1097 (spoke 1); 1073 (spoke 13); 1079 (spoke 25) N.", "mean 1078"} {
		if !strings.Contains(text, want) {
			t.Errorf("the paper does not say %q", want)
		}
	}
}

// A result that is judged by a rule of its own says so beside the rule for all, and
// its verdict is that rule's.
func TestARuleOfOneResultIsTold(t *testing.T) {
	c := wheelOf36()
	for i := range c.Results {
		if r := &c.Results[i]; r.Code == "dish_abs" {
			r.Rule, r.GuardFactor, r.Verdict = "iso14253", "0.82", models.VerdictConformity
		}
	}
	pdf, err := Draw(c, Options{Raw: canonical(t, c), Signature: signature(c)})
	if err != nil {
		t.Fatal(err)
	}
	text := pdftest.Text(t, pdf)
	for _, want := range []string{"Simple acceptance:", "For dish, distance from its target: Acceptance by ISO 14253-1: each limit is moved inward by 0.82 times the expanded uncertainty U (about 95 %).", "conformity shown"} {
		if !strings.Contains(text, want) {
			t.Errorf("the paper does not say %q", want)
		}
	}
}

// Divisions that lie beyond the table of their gauge are printed as they were read,
// and drawn as no tension.
func TestDivisionsBeyondATableAreNotDrawn(t *testing.T) {
	c := wheelQuick()
	at := -1
	for i := range c.Readings {
		if c.Readings[i].Code == tensionA {
			at = i
		}
	}
	if at < 0 {
		t.Fatal("no tensions of side A")
	}
	r := &c.Readings[at]
	r.Unit, r.Values = "div", slices.Repeat([]string{"26,5"}, len(r.Values))
	pdf, err := Draw(c, Options{Raw: canonical(t, c), Signature: signature(c)})
	if err != nil {
		t.Fatal(err)
	}
	text := pdftest.Text(t, pdf)
	if !strings.Contains(text, "Spoke tension, side A: 26.5") || strings.Contains(text, "mean 26.5") || strings.Contains(text, "mean 27") {
		t.Errorf("the readings do not stand as divisions in %q", text)
	}
}

// Highest and lowest without their spokes cannot be drawn and are printed.
func TestExtremesWithoutPlaces(t *testing.T) {
	c := wheelQuick()
	c.Readings[0].Index = nil
	pdf, err := Draw(c, Options{Raw: canonical(t, c), Signature: signature(c)})
	if err != nil {
		t.Fatal(err)
	}
	if text := pdftest.Text(t, pdf); !strings.Contains(text, "Lateral run-out: 0.25; 0.01 mm.") {
		t.Errorf("the readings do not stand in %q", text)
	}
}

// A limit in another unit than the readings is brought to theirs: the band of
// 0.10 V about readings in mV is drawn 100 high, so the same picture comes out.
func TestReadingsInAnotherUnitThanTheLimit(t *testing.T) {
	c := packOf("C26-00307", 1, 4)
	for i, v := range c.Readings[0].Values {
		c.Readings[0].Values[i] = strings.Replace(v, ".", "", 1) // 12.905 V is 12905 mV
	}
	c.Readings[0].Unit = "mV"
	s := &sheet{content: c}
	r, _ := s.result("ocv_spread")
	if got := s.limitIn(r, "mV"); got != 100 {
		t.Errorf("limit of 0.10 V in mV is %v, want 100", got)
	}
	if _, err := Draw(c, Options{Raw: canonical(t, c), Signature: signature(c)}); err != nil {
		t.Error(err)
	}
}

// Several papers may be drawn at once.
func TestDrawnTogether(t *testing.T) {
	content, options := cases()["wheel-36"]()
	options.Raw, options.Signature = canonical(t, content), signature(content)
	want, err := Draw(content, options)
	if err != nil {
		t.Fatal(err)
	}
	var group sync.WaitGroup
	for range 4 {
		group.Go(func() {
			got, err := Draw(content, options)
			if err != nil || !bytes.Equal(got, want) {
				t.Errorf("drawn beside others: error %v, same bytes %v", err, bytes.Equal(got, want))
			}
		})
	}
	group.Wait()
}
