// Package pdftest reads papers back with programs that had no part in drawing
// them: poppler's pdftotext, pdftoppm, pdfdetach and pdffonts, zbarimg,
// dmtxread and qpdf. Where a program is missing the test says what it left out; with
// TRACEWRIGHT_TEST_ALL=1 a missing program is a failure.
package pdftest

import (
	"encoding/xml"
	"fmt"
	"os"
	"os/exec"
	"path/filepath"
	"regexp"
	"strconv"
	"strings"
	"testing"
)

// run runs a program in a fresh folder that holds the paper as paper.pdf, and
// gives what it printed and the folder.
func run(t testing.TB, pdf []byte, program string, arguments ...string) (out, folder string) {
	t.Helper()
	path, err := exec.LookPath(program)
	if err != nil {
		if os.Getenv("TRACEWRIGHT_TEST_ALL") == "1" {
			t.Fatalf("%s is needed and not installed", program)
		}
		t.Skipf("left out what follows here: %s is not installed", program)
	}
	folder = t.TempDir()
	if pdf != nil {
		if err := os.WriteFile(filepath.Join(folder, "paper.pdf"), pdf, 0o600); err != nil {
			t.Fatal(err)
		}
	}
	command := exec.Command(path, arguments...)
	command.Dir = folder
	var stdout, stderr strings.Builder
	command.Stdout, command.Stderr = &stdout, &stderr
	if err := command.Run(); err != nil {
		t.Fatalf("%s %s: %v\n%s%s", program, strings.Join(arguments, " "), err, stdout.String(), stderr.String())
	}
	return stdout.String(), folder
}

// Text is the text of the paper, all white space made single spaces, so that a
// sentence is found wherever its lines break.
func Text(t testing.TB, pdf []byte) string {
	t.Helper()
	out, _ := run(t, pdf, "pdftotext", "paper.pdf", "-")
	return strings.Join(strings.Fields(out), " ")
}

// PageTexts is the text of each page, as Text gives it.
func PageTexts(t testing.TB, pdf []byte) []string {
	t.Helper()
	out, _ := run(t, pdf, "pdftotext", "paper.pdf", "-")
	pages := strings.Split(strings.TrimSuffix(out, "\f"), "\f")
	for i := range pages {
		pages[i] = strings.Join(strings.Fields(pages[i]), " ")
	}
	return pages
}

// Lines is the text as it stands on the page, line by line, runs of spaces
// made single ones.
func Lines(t testing.TB, pdf []byte) []string {
	t.Helper()
	out, _ := run(t, pdf, "pdftotext", "-layout", "paper.pdf", "-")
	var lines []string
	for line := range strings.Lines(out) {
		lines = append(lines, strings.Join(strings.Fields(line), " "))
	}
	return lines
}

// Word is a word with its box, in points from the upper left corner.
type Word struct {
	Page                   int
	Left, Top, Right, Foot float64
	Text                   string
}

// Words gives every word of the paper with its box, and the size of a page.
func Words(t testing.TB, pdf []byte) (words []Word, width, height float64) {
	t.Helper()
	out, _ := run(t, pdf, "pdftotext", "-bbox", "paper.pdf", "-")
	var document struct {
		Pages []struct {
			Width  float64 `xml:"width,attr"`
			Height float64 `xml:"height,attr"`
			Words  []struct {
				Left  float64 `xml:"xMin,attr"`
				Top   float64 `xml:"yMin,attr"`
				Right float64 `xml:"xMax,attr"`
				Foot  float64 `xml:"yMax,attr"`
				Text  string  `xml:",chardata"`
			} `xml:"word"`
		} `xml:"body>doc>page"`
	}
	if err := xml.Unmarshal([]byte(out), &document); err != nil {
		t.Fatalf("boxes of pdftotext: %v", err)
	}
	for i, page := range document.Pages {
		width, height = page.Width, page.Height
		for _, w := range page.Words {
			words = append(words, Word{i + 1, w.Left, w.Top, w.Right, w.Foot, w.Text})
		}
	}
	if len(words) == 0 {
		t.Fatal("pdftotext found no words")
	}
	return words, width, height
}

// Overlap tells how far two words reach into each other, in points, in the
// direction where it is least; 0 where they do not.
func (w Word) Overlap(other Word) float64 {
	if w.Page != other.Page {
		return 0
	}
	x := min(w.Right, other.Right) - max(w.Left, other.Left)
	y := min(w.Foot, other.Foot) - max(w.Top, other.Top)
	return max(0, min(x, y))
}

// QR reads the QR codes of a page from its picture.
func QR(t testing.TB, pdf []byte, page int) []string {
	t.Helper()
	_, folder := run(t, pdf, "pdftoppm", "-r", "150", "-gray", "-f", strconv.Itoa(page), "-l", strconv.Itoa(page), "-singlefile", "paper.pdf", "page")
	out, _ := run(t, nil, "zbarimg", "--nodbus", "--quiet", "--raw", filepath.Join(folder, "page.pgm"))
	return strings.Split(strings.TrimRight(out, "\n"), "\n")
}

// Area is a part of a page in mm from its upper left corner; of no width it is
// the whole page.
type Area struct{ Left, Top, Width, Height float64 }

// picture draws an area of a page at the 300 dots an inch of a label printer,
// and gives the file's name.
func picture(t testing.TB, pdf []byte, page int, a Area) string {
	t.Helper()
	dots := func(mm float64) string { return strconv.Itoa(int(mm / 25.4 * 300)) }
	_, folder := run(t, pdf, "pdftoppm", "-r", "300", "-gray", "-png", "-f", strconv.Itoa(page), "-l", strconv.Itoa(page), "-singlefile",
		"-x", dots(a.Left), "-y", dots(a.Top), "-W", dots(a.Width), "-H", dots(a.Height), "paper.pdf", "page")
	return filepath.Join(folder, "page.png")
}

// Symbols reads every QR code and Code 128 of an area of a page from its
// picture, each as "QR-Code:text" or "CODE-128:text".
func Symbols(t testing.TB, pdf []byte, page int, a Area) []string {
	t.Helper()
	out, _ := run(t, nil, "zbarimg", "--nodbus", "--quiet", "-Sdisable", "-Sqrcode.enable", "-Scode128.enable", picture(t, pdf, page, a))
	return strings.Split(strings.TrimRight(out, "\n"), "\n")
}

// DataMatrix reads up to n Data Matrix codes of an area of a page from its
// picture.
func DataMatrix(t testing.TB, pdf []byte, page int, a Area, n int) []string {
	t.Helper()
	out, _ := run(t, nil, "dmtxread", "--newline", "--milliseconds=60000", "--stop-after="+strconv.Itoa(n), picture(t, pdf, page, a))
	return strings.Split(strings.TrimRight(out, "\n"), "\n")
}

// Attachments gives the files inside the paper, by name.
func Attachments(t testing.TB, pdf []byte) map[string][]byte {
	t.Helper()
	_, folder := run(t, pdf, "pdfdetach", "-saveall", "paper.pdf")
	files := map[string][]byte{}
	entries, err := os.ReadDir(folder)
	if err != nil {
		t.Fatal(err)
	}
	for _, e := range entries {
		if e.Name() == "paper.pdf" {
			continue
		}
		if files[e.Name()], err = os.ReadFile(filepath.Join(folder, e.Name())); err != nil {
			t.Fatal(err)
		}
	}
	return files
}

// Font is one line of pdffonts.
type Font struct {
	Name     string
	Embedded bool
	Unicode  bool // its text can be read back
}

var fontLine = regexp.MustCompile(`^(\S+)\s+.*\s(yes|no)\s+(yes|no)\s+(yes|no)\s+\d+\s+\d+\s*$`)

// Fonts lists the fonts of the paper.
func Fonts(t testing.TB, pdf []byte) []Font {
	t.Helper()
	out, _ := run(t, pdf, "pdffonts", "paper.pdf")
	var fonts []Font
	for line := range strings.Lines(out) {
		if m := fontLine.FindStringSubmatch(strings.TrimRight(line, "\n")); m != nil {
			fonts = append(fonts, Font{m[1], m[2] == "yes", m[4] == "yes"})
		}
	}
	if len(fonts) == 0 {
		t.Fatalf("pdffonts named no font:\n%s", out)
	}
	return fonts
}

// Info is what a reader of papers says of the whole file.
func Info(t testing.TB, pdf []byte) string {
	t.Helper()
	out, _ := run(t, pdf, "pdfinfo", "paper.pdf")
	return strings.Join(strings.Fields(out), " ")
}

// Sound lets qpdf check the structure of the file.
func Sound(t testing.TB, pdf []byte) {
	t.Helper()
	out, _ := run(t, pdf, "qpdf", "--check", "paper.pdf")
	if strings.Contains(strings.ToUpper(out), "WARNING") {
		t.Errorf("qpdf warns:\n%s", out)
	}
}

// String makes failures readable.
func (w Word) String() string {
	return fmt.Sprintf("%q on page %d at %.1f,%.1f to %.1f,%.1f", w.Text, w.Page, w.Left, w.Top, w.Right, w.Foot)
}

// Grey gives a page as dots, 150 to the inch, as a grey bitmap.
func Grey(t testing.TB, pdf []byte, page int) []byte {
	t.Helper()
	_, folder := run(t, pdf, "pdftoppm", "-r", "150", "-gray", "-f", strconv.Itoa(page), "-l", strconv.Itoa(page), "-singlefile", "paper.pdf", "page")
	dots, err := os.ReadFile(filepath.Join(folder, "page.pgm"))
	if err != nil {
		t.Fatal(err)
	}
	return dots
}
