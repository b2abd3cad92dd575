package pdf

import (
	"bytes"
	"errors"
	"fmt"
	"image/color"
	"time"

	"github.com/jung-kurt/gofpdf"
)

// A4, in mm.
const (
	PageWidth  = 210.0
	PageHeight = 297.0
)

// Meta is what a document says of itself. Made comes from the content of the
// report, never from a clock.
type Meta struct {
	Title    string
	Author   string
	Subject  string
	Language string // a tag such as "de"; empty is "en"
	Made     time.Time
	Plain    bool // pages are not compressed, so that a person can read the file
	// Width and Height are the size of every page in mm; 0 is A4.
	Width, Height float64
}

// Attachment is a file inside the document.
type Attachment struct {
	Name        string
	Description string
	Content     []byte
}

// ink is what is in force on a page and need not be said again: font with its
// size, and the colour that fills.
type ink struct {
	font string
	fill color.RGBA // transparent: not known
}

// Document is a paper in the making. It is not for use by several goroutines.
type Document struct {
	f        *gofpdf.Fpdf
	meta     Meta
	attached []Attachment
	page     int
	now      ink
	noted    string // family that gofpdf notes letters down for
	err      error
}

// New begins a document without pages.
func New(meta Meta) *Document {
	if meta.Width <= 0 || meta.Height <= 0 {
		meta.Width, meta.Height = PageWidth, PageHeight
	}
	if meta.Language == "" {
		meta.Language = "en"
	}
	f := gofpdf.NewCustom(&gofpdf.InitType{OrientationStr: "P", UnitStr: "mm", Size: gofpdf.SizeType{Wd: meta.Width, Ht: meta.Height}})
	f.SetCatalogSort(true)
	f.SetCompression(!meta.Plain)
	f.SetAutoPageBreak(false, 0)
	f.SetMargins(0, 0, 0)
	f.SetCreationDate(meta.Made)
	f.SetModificationDate(meta.Made)
	f.SetProducer("Tracewright", true)
	f.SetTitle(meta.Title, true)
	f.SetAuthor(meta.Author, true)
	f.SetSubject(meta.Subject, true)
	f.SetXmpMetadata(xmp(meta))
	for _, font := range []*Font{Sans(), SemiBold(), Mono()} {
		// gofpdf writes into what it is given, so each document has a copy.
		f.AddUTF8FontFromBytes(font.family, "", bytes.Clone(font.ttf))
	}
	return &Document{f: f, meta: meta}
}

// AddPage begins a new page.
func (d *Document) AddPage() {
	d.f.AddPage()
	d.page = d.f.PageNo()
	d.now = ink{}
}

// Pages is how many pages there are.
func (d *Document) Pages() int { return d.f.PageCount() }

// Page is the number of the page being drawn, from 1.
func (d *Document) Page() int { return d.page }

// Turn goes back to a page, to print on it what is known only at the end: the
// count of pages.
func (d *Document) Turn(page int) {
	d.f.SetPage(page)
	d.page = page
	d.now = ink{}
}

// Attach puts a file into the document.
func (d *Document) Attach(a Attachment) { d.attached = append(d.attached, a) }

// fail keeps the first error.
func (d *Document) fail(err error) {
	if d.err == nil {
		d.err = err
	}
}

// Err is the first error so far.
func (d *Document) Err() error {
	if d.err != nil {
		return d.err
	}
	return d.f.Error()
}

// Bytes ends the document and gives it.
func (d *Document) Bytes() ([]byte, error) {
	if d.f.PageCount() == 0 {
		d.fail(errors.New("a document needs a page"))
	}
	if err := d.Err(); err != nil {
		return nil, fmt.Errorf("draw document: %w", err)
	}
	files := make([]gofpdf.Attachment, len(d.attached))
	for i, a := range d.attached {
		files[i] = gofpdf.Attachment{Content: a.Content, Filename: a.Name, Description: a.Description}
	}
	d.f.SetAttachments(files)
	var out bytes.Buffer
	if err := d.f.Output(&out); err != nil {
		return nil, fmt.Errorf("write document: %w", err)
	}
	return withCatalog(out.Bytes(), d.meta.Language)
}
