package pdf

import (
	"bytes"
	"compress/gzip"
	_ "embed" // The fonts are part of the program.
	"fmt"
	"io"
	"slices"
	"sync"

	xfont "golang.org/x/image/font"
	"golang.org/x/image/font/opentype"
	"golang.org/x/image/font/sfnt"
	"golang.org/x/image/math/fixed"
	"gonum.org/v1/plot/font"
	"gonum.org/v1/plot/vg"
)

//go:embed fonts/TracewrightSans-Regular.ttf.gz
var sansTTF []byte

//go:embed fonts/TracewrightSans-SemiBold.ttf.gz
var semiBoldTTF []byte

//go:embed fonts/TracewrightMono-Regular.ttf.gz
var monoTTF []byte

// Font is one of the embedded fonts, parsed once and then only read.
type Font struct {
	family string // as gofpdf knows it
	ttf    []byte
	parsed *opentype.Font
	face   font.Font
	widths []float64 // by letter, of an em; missing where there is none
	drop   float64   // descent, of an em
	rise   float64   // ascent, of an em
	high   float64   // height of capitals, of an em
}

// lastLetter bounds what is looked for in a font: symbols and arrows are below it.
const lastLetter = 0x2c00

// missing is the width of a letter that a font cannot print.
const missing = -1

// The three fonts of paper. Mono is for serials, lots and hashes; it lacks
// Greek, and text that needs Greek is set in Sans instead.
func Sans() *Font     { return loaded().sans }
func SemiBold() *Font { return loaded().semiBold }
func Mono() *Font     { return loaded().mono }

type fonts struct{ sans, semiBold, mono *Font }

// loaded parses the fonts at the first use. They are compiled in, so a fault
// in them is a fault of the program and shows in every test.
var loaded = sync.OnceValue(func() fonts {
	return fonts{
		sans:     parse("sans", sansTTF, font.Font{Typeface: "Tracewright Sans"}),
		semiBold: parse("semibold", semiBoldTTF, font.Font{Typeface: "Tracewright Sans", Weight: xfont.WeightSemiBold}),
		mono:     parse("mono", monoTTF, font.Font{Typeface: "Tracewright Mono", Variant: "Mono"}),
	}
})

func parse(family string, zipped []byte, face font.Font) *Font {
	var parsed *opentype.Font
	ttf, err := unzipped(zipped)
	if err == nil {
		parsed, err = opentype.Parse(ttf)
	}
	if err != nil {
		panic(fmt.Sprintf("embedded font %s: %v", family, err))
	}
	f := &Font{family: family, ttf: ttf, parsed: parsed, face: face, widths: slices.Repeat([]float64{missing}, lastLetter)}
	var buffer sfnt.Buffer
	em := fixed.Int26_6(parsed.UnitsPerEm())
	for r := rune(0x20); r < lastLetter; r++ {
		glyph, err := parsed.GlyphIndex(&buffer, r)
		if err != nil || glyph == 0 {
			continue
		}
		advance, err := parsed.GlyphAdvance(&buffer, glyph, em, xfont.HintingNone)
		if err != nil {
			continue
		}
		f.widths[r] = float64(advance) / float64(em)
	}
	metrics, err := parsed.Metrics(&buffer, em, xfont.HintingNone)
	if err != nil {
		panic(fmt.Sprintf("embedded font %s: %v", family, err))
	}
	f.rise, f.drop = float64(metrics.Ascent)/float64(em), float64(metrics.Descent)/float64(em)
	f.high = float64(metrics.CapHeight) / float64(em)
	return f
}

func unzipped(raw []byte) ([]byte, error) {
	r, err := gzip.NewReader(bytes.NewReader(raw))
	if err != nil {
		return nil, err
	}
	return io.ReadAll(r)
}

// Has says whether the font can print a letter.
func (f *Font) Has(r rune) bool {
	return r >= 0 && r < lastLetter && f.widths[r] != missing
}

// hasAll says whether the font can print every letter of a text.
func (f *Font) hasAll(text string) bool {
	for _, r := range text {
		if !f.Has(r) {
			return false
		}
	}
	return true
}

// Width is the width of a text in points. Kerning is left out, as gofpdf
// leaves it out.
func (f *Font) Width(text string, size float64) float64 {
	w := 0.0
	for _, r := range text {
		if f.Has(r) {
			w += f.widths[r]
		}
	}
	return w * size
}

// outline gives the letters of a text as lines and curves, from the left end of
// the baseline, in points.
func (f *Font) outline(text string, size float64) (vg.Path, error) {
	var path vg.Path
	var buffer sfnt.Buffer
	// The grid is fine enough that no corner moves visibly.
	const grid = 1024
	x := 0.0
	for _, r := range text {
		glyph, err := f.parsed.GlyphIndex(&buffer, r)
		if err != nil {
			return nil, fmt.Errorf("outline of %q: %w", text, err)
		}
		segments, err := f.parsed.LoadGlyph(&buffer, glyph, fixed.I(grid), nil)
		if err != nil {
			return nil, fmt.Errorf("outline of %q: %w", text, err)
		}
		at := func(p fixed.Point26_6) vg.Point {
			unit := size / grid / 64
			return vg.Point{X: vg.Length(x + float64(p.X)*unit), Y: vg.Length(-float64(p.Y) * unit)}
		}
		for i, s := range segments {
			switch s.Op {
			case sfnt.SegmentOpMoveTo:
				if i > 0 {
					path.Close()
				}
				path.Move(at(s.Args[0]))
			case sfnt.SegmentOpLineTo:
				path.Line(at(s.Args[0]))
			case sfnt.SegmentOpQuadTo:
				path.QuadTo(at(s.Args[0]), at(s.Args[1]))
			case sfnt.SegmentOpCubeTo:
				path.CubeTo(at(s.Args[0]), at(s.Args[1]), at(s.Args[2]))
			}
		}
		path.Close()
		x += f.Width(string(r), size)
	}
	return path, nil
}

// Face gives the font in the form that gonum's drawing takes.
func (f *Font) Face(size float64) font.Face {
	described := f.face
	described.Size = font.Points(size)
	return font.Face{Font: described, Face: f.parsed}
}

// byFace finds the embedded font that a drawing asks for.
func byFace(face font.Face) *Font {
	switch {
	case face.Font.Variant == "Mono":
		return Mono()
	case face.Font.Weight > xfont.WeightNormal:
		return SemiBold()
	default:
		return Sans()
	}
}
