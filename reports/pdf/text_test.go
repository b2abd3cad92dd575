package pdf

import (
	"math"
	"os"
	"slices"
	"strings"
	"testing"
	"time"

	"tracewright/reports/pdf/pdftest"
)

var plainText = Style{Font: Sans(), Size: 10, Color: Ink}

func paper(t *testing.T, draw func(d *Document)) []byte {
	t.Helper()
	d := New(Meta{Title: "Test", Author: "Shop", Made: time.Date(2027, 2, 9, 15, 0, 0, 0, time.UTC)})
	d.AddPage()
	draw(d)
	out, err := d.Bytes()
	if err != nil {
		t.Fatal(err)
	}
	return out
}

func TestWrap(t *testing.T) {
	wide := plainText.Width("a line of words")
	for _, c := range []struct {
		name, text string
		width      float64
		want       []string
	}{
		{"what fits stays", "a line of words", wide + 0.01, []string{"a line of words"}},
		{"what does not fit breaks at a space", "a line of words", wide - 0.5, []string{"a line of", "words"}},
		{"nothing is one empty line", "", 50, []string{""}},
		{"spaces around are dropped", "  a  b ", 50, []string{"a b"}},
		{"a line break breaks", "a\nb", 50, []string{"a", "b"}},
		{"a space that does not break holds a number and its unit", "of 0.24\u00a0mm", plainText.Width("0.24 mm") + 0.01, []string{"of", "0.24\u00a0mm"}},
	} {
		t.Run(c.name, func(t *testing.T) {
			if got := plainText.Wrap(c.text, c.width); !slices.Equal(got, c.want) {
				t.Errorf("Wrap(%q, %.1f) = %q, want %q", c.text, c.width, got, c.want)
			}
		})
	}
}

func TestWrapLosesNothingAndFits(t *testing.T) {
	for _, text := range []string{strings.Repeat("60418", 40), "short " + strings.Repeat("Ω", 90) + " end", strings.Repeat("word ", 60), "Екатерина Преображенская-Смирнова"} {
		for _, width := range []float64{4, 11, 37} {
			lines := plainText.Wrap(text, width)
			for _, line := range lines {
				if plainText.Width(line) > width {
					t.Errorf("%q is %.2f mm wide, more than %.0f", line, plainText.Width(line), width)
				}
			}
			if got, want := strings.ReplaceAll(strings.Join(lines, ""), " ", ""), strings.ReplaceAll(text, " ", ""); got != want {
				t.Errorf("wrapped at %.0f mm: %q, want the letters of %q", width, got, want)
			}
		}
	}
}

func TestLacks(t *testing.T) {
	for _, c := range []struct {
		text string
		want bool
	}{
		{"T. Vale", false},
		{"Άννα Παπαδόπουλος Ώ ΰ", false},
		{"Преображенская, Київ, Ђорђе", false},
		{"Zoë Ångström, Łódź, Ștefan, ẞ", false},
		{"0.24 mm ± 15 % ≤ 12.4 mΩ µm °C −", false},
		{"Ångström with a combining ring", false},
		{"line\nbreak\tand\u00a0space", false},
		{"車輪", true},
		{"😀", true},
	} {
		if got := Lacks(c.text); got != c.want {
			t.Errorf("Lacks(%q) = %v", c.text, got)
		}
	}
}

// What cannot be printed is seen, and what can be is not lost with it.
func TestLettersNoFontHas(t *testing.T) {
	out := paper(t, func(d *Document) {
		d.Text(20, 30, plainText, "wheel 車輪 😀 of Παπαδόπουλος", Left)
		d.Text(20, 40, Style{Font: Mono(), Size: 10, Color: Ink}, "SP-Ω and SP-0931", Left)
	})
	text := pdftest.Text(t, out)
	for _, want := range []string{"wheel ?? ? of Παπαδόπουλος", "SP-Ω and SP-0931"} {
		if !strings.Contains(text, want) {
			t.Errorf("the page says %q, want %q in it", text, want)
		}
	}
}

// Widths are our own, taken from the font; the page's reader must agree.
func TestWidthIsWhatIsPrinted(t *testing.T) {
	for _, c := range []struct {
		name string
		font *Font
		text string
	}{{"sans", Sans(), "AVATAR,Wheel0123456789"}, {"semibold", SemiBold(), "0.24"}, {"mono", Mono(), "W26-00172-8"}, {"greek", Sans(), "Παπαδόπουλος"}, {"cyrillic", SemiBold(), "Преображенская"}} {
		t.Run(c.name, func(t *testing.T) {
			style := Style{Font: c.font, Size: 20, Color: Ink}
			words, _, _ := pdftest.Words(t, paper(t, func(d *Document) { d.Text(20, 50, style, c.text, Left) }))
			if len(words) != 1 || words[0].Text != c.text {
				t.Fatalf("read back %v, want the one word %q", words, c.text)
			}
			// gofpdf writes widths in thousandths of the size: half of one a letter.
			tolerance := 0.0005*20*float64(len([]rune(c.text))) + 0.02
			if got, want := words[0].Right-words[0].Left, style.Width(c.text)/MMPerPoint; math.Abs(got-want) > tolerance {
				t.Errorf("printed %.3f points wide, computed %.3f", got, want)
			}
			if math.Abs(words[0].Left-20/MMPerPoint) > 0.01 {
				t.Errorf("begins at %.2f points, want %.2f", words[0].Left, 20/MMPerPoint)
			}
		})
	}
}

func TestLicenceLiesBesideTheFonts(t *testing.T) {
	licence, err := os.ReadFile("fonts/OFL.txt")
	if err != nil || !strings.Contains(string(licence), "SIL OPEN FONT LICENSE Version 1.1") {
		t.Errorf("fonts/OFL.txt: %v", err)
	}
}
