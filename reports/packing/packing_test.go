package packing

import (
	"errors"
	"fmt"
	"os"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"tracewright/models"
	"tracewright/reports/pdf/pdftest"
)

var made = time.Date(2031, 5, 12, 9, 0, 0, 0, time.UTC)

func sample(kits int) models.PackingList {
	list := models.PackingList{Issuer: models.CertificateIssuer{Name: "Harrowmere Wheel and Pack Works", Address: "4 Ropewalk Yard, Harrowmere HR3 7QW"}, Number: "S31-00012", ShippedOn: "2031-05-12",
		Order: "4471", Carrier: "Foxline", Tracking: "FX-88 120", ShipTo: []string{"Ada Brenn", "Quay 4", "9921 Sundhavn"}, Packs: []string{"agm"}}
	for i := range kits {
		list.Boxes = append(list.Boxes, models.PackingBox{Serial: fmt.Sprintf("K31%05d0", i+1), Product: "Curlew 28 kit, front", Lines: []models.PackingLine{
			{Name: "Curlew 28 front", Quantity: 1, Items: []models.PackingItem{{Serial: "W31000051", Certificate: "C31-00044", Revision: 2}}},
			{Name: "Halden 48", Quantity: 2, Items: []models.PackingItem{{Serial: "P31000035", Certificate: "C31-00045", Revision: 1}, {Serial: "P31000051"}}},
			{Name: "torque arm, M12", Quantity: 2}}})
	}
	return list
}

// The list says what is in each box, what went by concession and to whom, and
// carries the cautions of what is in it.
func TestWhatThePaperSays(t *testing.T) {
	list := sample(1)
	list.Concessions = []models.PackingConcession{{Serial: "P31000051", Reason: "agreed by telephone.", Against: []models.Remark{models.NewRemark("no_certificate", "serial", "P31000051")}}}
	text := draw(t, list)
	for _, want := range []string{"Packing list S31-00012", "Harrowmere Wheel and Pack Works", "4 Ropewalk Yard", "Ada Brenn", "9921 Sundhavn", "12 May 2031", "4471", "Foxline", "FX-88 120", "Kit K31-00001-0, Curlew 28 kit, front",
		"W31-00005-1", "C31-00044, revision 2", "P31-00003-5", "P31-00005-1", "none", "2 torque arm, M12", "By concession", "because: agreed by telephone", "has no certificate in force", "terminals covered", "Page 1 of 1"} {
		if !strings.Contains(text, want) {
			t.Errorf("%q is not on the paper:\n%s", want, text)
		}
	}
	for _, not := range []string{"[", "{", "Void", "lithium"} {
		if strings.Contains(text, not) {
			t.Errorf("%q is on the paper", not)
		}
	}
	list.Void, list.ShipTo, list.Packs = true, nil, []string{"lifepo4", "lifepo4"}
	text = draw(t, list)
	if !strings.Contains(text, "Void: this did not go out") || strings.Contains(text, "Ada Brenn") || strings.Count(text, "lithium packs follows") != 1 {
		t.Errorf("void, to nobody, of lithium:\n%s", text)
	}
}

// What stood against an item at its packing is told with that day, and not as if it
// held when the box left.
func TestWhatWasSaidAtThePacking(t *testing.T) {
	list := sample(1)
	list.Concessions = []models.PackingConcession{{Serial: "W31000051", PackedOn: "2031-05-02", Reason: "its paper follows", Against: []models.Remark{models.NewRemark("not_released", "serial", "W31000051"), models.NewRemark("was_held", "serial", "W31000051")}}}
	if text, want := draw(t, list), "By concession What was said on 2 May 2031, when it was packed: W31-00005-1 is not released. W31-00005-1 was on hold. Packed all the same, because: its paper follows"; !strings.Contains(text, want) {
		t.Errorf("%q is not on the paper:\n%s", want, text)
	}
}

// The list is in the language of the certificates that lie beside it, what went by
// concession and the cautions too: no word of another stands on it but what was typed.
func TestThePaperInGerman(t *testing.T) {
	list := sample(1)
	list.Language, list.Packs, list.Void = "de", []string{"lifepo4", "agm"}, true
	for _, code := range []string{"not_released", "was_held", "past_ready", "kit_lacks"} {
		list.Concessions = append(list.Concessions, models.PackingConcession{Serial: "W31000051", PackedOn: "2031-05-02", Reason: "so abgesprochen", Against: []models.Remark{models.NewRemark(code, "serial", "W31000051", "date", "2031-05-01", "count", "2", "name", "Drehmomentstütze")}})
	}
	list.Concessions[3].PackedOn = ""
	text := draw(t, list)
	for _, want := range []string{"Packliste S31-00012", "Ungültig:", "Versandt am", "12.05.2031", "Umbausatz K31-00001-0, Curlew 28 kit, front", "C31-00044, Revision 2", "keine", "Stand beim Packen am 02.05.2031: W31-00005-1 ist nicht freigegeben. Dennoch eingepackt, Grund: so abgesprochen",
		"W31-00005-1 war gesperrt.", "war bis 01.05.2031 versandbereit", "In W31-00005-1 fehlt: 2 × Drehmomentstütze. Dennoch versandt", "Beförderung von Lithium-Akkus", "abgedeckten Polen", "Herstellerangaben", "Seite 1 von 1"} {
		if !strings.Contains(text, want) {
			t.Errorf("%q is not on the paper:\n%s", want, text)
		}
	}
	for _, not := range []string{" the ", "[", "{", "Shipped", "May"} {
		if strings.Contains(text, not) {
			t.Errorf("%q is on the paper", not)
		}
	}
}

// Many boxes go on to further pages; no line runs into another or off the page.
func TestManyBoxes(t *testing.T) {
	for _, kits := range []int{0, 1, 9, 30} {
		out, err := Draw(sample(kits), made)
		if err != nil {
			t.Fatal(err)
		}
		pdftest.Sound(t, out)
		boxes, width, height := pdftest.Words(t, out)
		for i, w := range boxes {
			if w.Right > width-40 || w.Foot > height-20 || w.Left < 40 {
				t.Errorf("%d kits: %v stands at the edge", kits, w)
			}
			for _, other := range boxes[:i] {
				if w.Overlap(other) > 0.5 {
					t.Errorf("%d kits: %v and %v overlap", kits, w, other)
				}
			}
		}
	}
}

func TestWhatMakesNoList(t *testing.T) {
	for name, list := range map[string]models.PackingList{"no number": {Issuer: models.CertificateIssuer{Name: "n"}}, "no issuer": {Number: "S31-00001"}} {
		if _, err := Draw(list, made); !errors.Is(err, ErrContent) {
			t.Errorf("%s: %v", name, err)
		}
	}
}

func draw(t *testing.T, list models.PackingList) string {
	t.Helper()
	out, err := Draw(list, made)
	if err != nil {
		t.Fatal(err)
	}
	if folder := os.Getenv("TRACEWRIGHT_TEST_PICTURES"); folder != "" {
		if err := os.WriteFile(filepath.Join(folder, "packing-list.pdf"), out, 0o600); err != nil {
			t.Log(err)
		}
	}
	return strings.Join(strings.Fields(pdftest.Text(t, out)), " ")
}

// Texts of the length that is taken, in words or in one piece, stay on the page and
// say all that was typed.
func TestLongTextsStayOnThePage(t *testing.T) {
	words := strings.Repeat("Spedition Übersee und Binnenland, Kai 17 ", 5)[:200]
	for name, text := range map[string]string{"in words": words, "in one piece": strings.Repeat("R8", 100)} {
		t.Run(name, func(t *testing.T) {
			list := sample(2)
			list.Order, list.Carrier, list.Tracking = text, text, text
			out, err := Draw(list, made)
			if err != nil {
				t.Fatal(err)
			}
			pdftest.Sound(t, out)
			boxes, width, height := pdftest.Words(t, out)
			for i, w := range boxes {
				if w.Right > width-40 || w.Foot > height-20 || w.Left < 40 {
					t.Errorf("%v stands at the edge", w)
				}
				for _, other := range boxes[:i] {
					if w.Overlap(other) > 0.5 {
						t.Errorf("%v and %v overlap", w, other)
					}
				}
			}
			bare := func(s string) string { return strings.Join(strings.Fields(s), "") }
			if said := bare(draw(t, list)); strings.Count(said, bare(text)) != 3 {
				t.Errorf("the paper does not say all of %q:\n%s", text, said)
			}
		})
	}
}

// What the paper's letters cannot say is told, and nothing where they can.
func TestSignsThatThePaperLacks(t *testing.T) {
	list := sample(1)
	list.ShipTo = []string{"Αλέξανδρος Żółć", "Улица 5"}
	if text := draw(t, list); strings.Contains(text, "printed as") || !strings.Contains(text, "Αλέξανδρος Żółć") {
		t.Errorf("of letters that it has:\n%s", text)
	}
	list.ShipTo = []string{"日本 東京"}
	if text := draw(t, list); !strings.Contains(text, "?? ??") || !strings.Contains(text, "A sign that this paper’s letters lack is printed as “?”.") {
		t.Errorf("of letters that it lacks:\n%s", text)
	}
}
