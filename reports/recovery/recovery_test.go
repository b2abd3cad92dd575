package recovery

import (
	"errors"
	"os"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"tracewright/models"
	"tracewright/reports/pdf/pdftest"
)

var made = time.Date(2031, 5, 12, 9, 0, 0, 0, time.UTC)

// sample is a key that opens nothing of anybody's: every byte of it is 0x42.
func sample() models.RecoverySheet {
	return models.RecoverySheet{Shop: "Harrowmere Wheel and Pack Works", Made: "2031-05-12", Secret: "AGE-SECRET-KEY-1GFPYYSJZGFPYYSJZGFPYYSJZGFPYYSJZGFPYYSJZGFPYYSJZGFPQ4EGAEX",
		Lines: []string{"GFPY YSJZ GFPY YSJZ  QP", "GFPY YSJZ GFPY YSJZ  ZR", "GFPY YSJZ GFPY YSJZ  Y9", "GFPQ 4EGA EX  X8"}, Public: "age1zvkyg2lqzraa2lnjvqej32nkuu0ues2s82hzrye869xeexvn73equnujwj"}
}

// The sheet holds the key three times: as a code that a reader gives back to the
// letter, and as lines; it is one page, and no line runs into another.
func TestTheSheetHoldsTheKey(t *testing.T) {
	c := sample()
	out, err := Draw(c, made, nil)
	if err != nil {
		t.Fatal(err)
	}
	if folder := os.Getenv("TRACEWRIGHT_TEST_PICTURES"); folder != "" {
		if err := os.WriteFile(filepath.Join(folder, "recovery.pdf"), out, 0o600); err != nil {
			t.Log(err)
		}
	}
	pdftest.Sound(t, out)
	if pages := pdftest.PageTexts(t, out); len(pages) != 1 {
		t.Errorf("%d pages", len(pages))
	}
	text := strings.Join(strings.Fields(pdftest.Text(t, out)), " ")
	for _, want := range append([]string{"Recovery key of the backups", c.Shop, "12 May 2031", c.Public, "kept nowhere else", "tracewright backup --check"}, c.Lines...) {
		if !strings.Contains(text, strings.Join(strings.Fields(want), " ")) {
			t.Errorf("%q is not on the sheet:\n%s", want, text)
		}
	}
	if got := pdftest.QR(t, out, 1); len(got) != 1 || got[0] != c.Secret {
		t.Errorf("the code holds %q", got)
	}
	boxes, wide, high := pdftest.Words(t, out)
	for i, w := range boxes {
		if w.Right > wide-40 || w.Foot > high-20 || w.Left < 40 {
			t.Errorf("%v stands at the edge", w)
		}
		for _, other := range boxes[:i] {
			if w.Overlap(other) > 0.5 {
				t.Errorf("%v and %v overlap", w, other)
			}
		}
	}
}

// However long the shop's name, the sheet is one page, all that is on it stands above its
// foot, and signs of the name that its letters lack are told.
func TestALongNameStaysOnTheSheet(t *testing.T) {
	for name, shop := range map[string]string{"in words": strings.Repeat("Harrowmere Wheel and Pack Works ", 13)[:400], "in one piece": strings.Repeat("W", 400), "in letters that it lacks": strings.Repeat("東京 ", 133)} {
		t.Run(name, func(t *testing.T) {
			c := sample()
			c.Shop = shop
			out, err := Draw(c, made, nil)
			if err != nil {
				t.Fatal(err)
			}
			text := strings.Join(strings.Fields(pdftest.Text(t, out)), " ")
			if pages := pdftest.PageTexts(t, out); len(pages) != 1 || !strings.Contains(text, "12 May 2031") {
				t.Errorf("%d pages: %s", len(pages), text)
			}
			if said := strings.Contains(text, "is printed as “?”"); said != strings.HasPrefix(shop, "東") {
				t.Errorf("what is lacking is told: %t", said)
			}
			boxes, wide, _ := pdftest.Words(t, out)
			foot := boxes[0]
			for _, w := range boxes {
				if w.Text == "Delete" {
					foot = w
				}
			}
			for i, w := range boxes {
				if w.Right > wide-40 || w.Foot > foot.Foot+0.1 || w.Text == "by" && w.Foot > foot.Top-8 {
					t.Errorf("%v stands at the edge", w)
				}
				for _, other := range boxes[:i] {
					if w.Overlap(other) > 0.5 {
						t.Errorf("%v and %v overlap", w, other)
					}
				}
			}
		})
	}
}

func TestWhatMakesNoSheet(t *testing.T) {
	for name, change := range map[string]func(*models.RecoverySheet){
		"no secret": func(c *models.RecoverySheet) { c.Secret = "" }, "no lines": func(c *models.RecoverySheet) { c.Lines = nil },
		"no public half": func(c *models.RecoverySheet) { c.Public = "" }, "no day": func(c *models.RecoverySheet) { c.Made = "" },
	} {
		c := sample()
		change(&c)
		if _, err := Draw(c, made, nil); !errors.Is(err, ErrContent) {
			t.Errorf("%s: %v", name, err)
		}
	}
}
