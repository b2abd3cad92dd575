package packing

import (
	"encoding/json"
	"errors"
	"fmt"
	"slices"
	"strconv"
	"strings"
	"time"

	"tracewright/models"
	"tracewright/models/words"
	"tracewright/reports/pdf"
)

// The page: A4 upright, in mm.
const (
	left, right = 18.0, 192.0
	width       = right - left
	top, bottom = 20.0, 276.0
)

var (
	body  = pdf.Style{Font: pdf.Sans(), Size: 10, Color: pdf.Ink}
	small = pdf.Style{Font: pdf.Sans(), Size: 9, Color: pdf.Ink2}
	bold  = pdf.Style{Font: pdf.SemiBold(), Size: 10, Color: pdf.Ink}
	title = pdf.Style{Font: pdf.SemiBold(), Size: 18, Color: pdf.Ink}
	mono  = pdf.Style{Font: pdf.Mono(), Size: 10, Color: pdf.Ink}
)

// ErrContent says that the content makes no list.
var ErrContent = errors.New("content makes no packing list")

type sheet struct {
	doc   *pdf.Document
	list  models.PackingList
	words *words.Catalogue
	y     float64
}

// Draw draws a packing list in its language. made is the moment that the file names as
// its own.
func Draw(list models.PackingList, made time.Time) ([]byte, error) {
	if list.Number == "" || list.Issuer.Name == "" {
		return nil, fmt.Errorf("packing list %q: %w: no number or no issuer", list.Number, ErrContent)
	}
	w := words.In(models.LanguageOr(list.Language))
	s := &sheet{list: list, words: w}
	s.doc = pdf.New(pdf.Meta{Title: s.say("title") + " " + list.Number, Author: list.Issuer.Name, Subject: list.Number, Language: w.Language(), Made: made})
	s.page()
	s.head()
	for _, box := range list.Boxes {
		s.box(box)
	}
	s.concessions()
	s.cautions()
	for n := 1; n <= s.doc.Pages(); n++ {
		s.doc.Turn(n)
		s.doc.Rule(left, bottom+6, right, bottom+6, 0.2, pdf.Line)
		s.doc.Text(left, bottom+11, small, s.say("title")+" "+list.Number, pdf.Left)
		s.doc.Text(right, bottom+11, small, s.say("page", "page", strconv.Itoa(n), "pages", strconv.Itoa(s.doc.Pages())), pdf.Right)
	}
	out, err := s.doc.Bytes()
	if err != nil {
		return nil, fmt.Errorf("packing list %s: %w", list.Number, err)
	}
	return out, nil
}

func (s *sheet) say(code string, pairs ...string) string {
	values := map[string]string{}
	for i := 0; i+1 < len(pairs); i += 2 {
		values[pairs[i]] = pairs[i+1]
	}
	return s.words.Say("packing."+code, values)
}

func (s *sheet) page() {
	s.doc.AddPage()
	if s.list.Void {
		s.doc.Stamp(s.say("void"), pdf.Line)
	}
	s.y = top
}

// room begins a new page where so much does not fit any more.
func (s *sheet) room(height float64) {
	if s.y+height > bottom {
		s.page()
	}
}

// lines writes wrapped text and goes below it.
func (s *sheet) lines(x float64, style pdf.Style, text string, wide float64) {
	for _, line := range style.Wrap(text, wide) {
		s.room(style.Leading())
		s.doc.Text(x, s.y+style.Rise(), style, line, pdf.Left)
		s.y += style.Leading()
	}
}

func (s *sheet) head() {
	s.lines(left, title, s.say("title")+" "+s.list.Number, width)
	if s.list.Void {
		s.lines(left, bold.In(pdf.Fail), s.say("void_line"), width)
	}
	s.y += 2
	start, half := s.y, width/2-4
	s.lines(left, bold, s.list.Issuer.Name, half)
	s.lines(left, small, s.list.Issuer.Address, half)
	issuer := s.y
	s.y = start
	if len(s.list.ShipTo) > 0 {
		s.lines(left+width/2, small, s.say("to"), half)
		for i, line := range s.list.ShipTo {
			style := body
			if i == 0 {
				style = bold
			}
			s.lines(left+width/2, style, line, half)
		}
	}
	s.y = max(s.y, issuer) + 4
	for _, f := range [][2]string{{"shipped", s.words.Date(s.list.ShippedOn)}, {"order", s.list.Order}, {"carrier", s.list.Carrier}, {"tracking", s.list.Tracking}} {
		if f[1] == "" {
			continue
		}
		s.room(body.Leading())
		s.doc.Text(left, s.y+body.Rise(), small, s.say(f[0]), pdf.Left)
		s.lines(left+36, body, f[1], width-36)
	}
	s.y += 4
}

func (s *sheet) box(box models.PackingBox) {
	name := box.Product
	switch {
	case box.Serial != "":
		name = s.say("kit", "serial", words.Serial(box.Serial), "product", box.Product)
	case name == "":
		name = s.say("by_themselves")
	}
	s.room(22)
	s.lines(left, bold, name, width)
	t := &pdf.Table{X: left, Head: small, Body: body, Pad: 1.2, Rule: pdf.Line, Columns: []pdf.Column{{Title: s.say("count"), Width: 18, Align: pdf.Right}, {Title: s.say("what"), Width: 78}, {Title: s.say("serial"), Width: 36}, {Title: s.say("certificate"), Width: width - 132}}}
	rows := s.rows(box)
	t.Fit(rows)
	t.DrawHead(s.doc, s.y)
	s.y += t.HeadHeight()
	for _, row := range rows {
		if h := t.RowHeight(row); s.y+h > bottom {
			s.page()
			t.DrawHead(s.doc, s.y)
			s.y += t.HeadHeight()
		}
		t.DrawRow(s.doc, s.y, row)
		s.y += t.RowHeight(row)
	}
	s.y += 6
}

// rows are the lines of a box: each item with a serial has a row of its own.
func (s *sheet) rows(box models.PackingBox) [][]pdf.Cell {
	var rows [][]pdf.Cell
	for _, l := range box.Lines {
		first := []pdf.Cell{{Text: strconv.Itoa(l.Quantity)}, {Text: l.Name}, {}, {}}
		for i, item := range l.Items {
			row := first
			if i > 0 {
				row = []pdf.Cell{{}, {}, {}, {}}
			}
			row[2] = pdf.Cell{Text: words.Serial(item.Serial), Style: &mono}
			row[3] = pdf.Cell{Text: s.certificate(item)}
			rows = append(rows, row)
		}
		if len(l.Items) == 0 {
			rows = append(rows, first)
		}
	}
	return rows
}

func (s *sheet) certificate(item models.PackingItem) string {
	if item.Certificate == "" {
		return s.say("no_certificate")
	}
	return s.say("certificate_of", "number", item.Certificate, "revision", strconv.Itoa(item.Revision))
}

func (s *sheet) concessions() {
	if len(s.list.Concessions) == 0 {
		return
	}
	s.room(20)
	s.lines(left, bold.In(pdf.Care), s.say("concessions"), width)
	for _, c := range s.list.Concessions {
		text := ""
		if c.Serial != "" && !slices.ContainsFunc(c.Against, func(r models.Remark) bool { return r.Values["serial"] != "" }) {
			text = words.Serial(c.Serial) + ": "
		}
		for _, r := range c.Against {
			text += s.words.Remark(r) + " "
		}
		if c.PackedOn != "" {
			text = s.say("at_packing", "date", s.words.Date(c.PackedOn), "against", strings.TrimSpace(text), "reason", c.Reason)
		} else {
			text += s.say("because", "reason", c.Reason)
		}
		s.lines(left, body, text, width)
		s.y += 1
	}
	s.y += 4
}

// cautions are those of what is in the box, and that letters are missing where some
// are.
func (s *sheet) cautions() {
	seen := map[string]bool{}
	for _, chemistry := range s.list.Packs {
		code := "lead_transport"
		if chemistry == "lifepo4" || chemistry == "li_ion" {
			code = "lithium_transport"
		}
		if !seen[code] {
			s.room(small.Leading() * 3)
			s.lines(left, small, s.words.Caution(code), width)
		}
		seen[code] = true
	}
	s.lines(left, small, s.say("makers_first"), width)
	if said, err := json.Marshal(s.list); err == nil && pdf.Lacks(string(said)) {
		s.lines(left, small, s.say("signs_replaced"), width)
	}
}
