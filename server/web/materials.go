package web

import (
	"errors"
	"fmt"
	"maps"
	"net/http"
	"net/url"
	"strings"

	"github.com/gin-gonic/gin"

	"tracewright/models"
	"tracewright/models/words"
	"tracewright/models/work/receive"
	"tracewright/server/httpx"
)

// MaterialsPage lists materials and suppliers.
type MaterialsPage struct {
	Frame
	Answer    string
	Rows      []MaterialRow
	Suppliers []SupplierRow
}

// MaterialRow is one material.
type MaterialRow struct {
	Name, Path, Code string
	Roles, Plan      string
	Left, Least      string
	Short            bool
	Lots             string
}

// SupplierRow is one supplier with how its newest lots did.
type SupplierRow struct {
	Name, Lots, Last, Stopped string
}

func (s *site) materials(c *gin.Context) error {
	ctx := c.Request.Context()
	list, err := s.services.Receive.Materials(ctx)
	if err != nil {
		return err
	}
	lines, err := s.services.Receive.Lines(ctx, "")
	if err != nil {
		return err
	}
	suppliers, err := s.services.Receive.Suppliers(ctx)
	if err != nil {
		return err
	}
	return show(c, "materials", s.materialsPage(s.frame(c, "Materials and suppliers", "/materials"), list, lines, suppliers))
}

func (s *site) materialsPage(frame Frame, list []models.Material, lines []receive.Line, suppliers []models.Supplier) MaterialsPage {
	page := MaterialsPage{Frame: frame, Answer: "Nothing is short"}
	short := 0
	for _, l := range receive.LeftOf(list, lines) {
		row := MaterialRow{Name: words.Sentence(l.Name), Path: "/materials/" + url.PathEscape(l.Code), Code: l.Code, Plan: planWords(l.Plan), Left: pieces(l.Pieces) + " " + l.Unit, Lots: plural(l.Lots, "lot", "lots"), Short: l.Short}
		if l.Least > 0 {
			row.Least = pieces(l.Least)
		}
		var roles []string
		for _, r := range l.Roles {
			roles = append(roles, english.Part(r))
		}
		row.Roles = strings.Join(roles, "; ")
		if l.Short {
			short++
		}
		page.Rows = append(page.Rows, row)
	}
	if short > 0 {
		page.Answer = counted(short, "material is short", "materials are short")
	}
	for _, x := range suppliers {
		row, n, stopped := SupplierRow{Name: x.Name}, 0, 0
		for _, l := range lines {
			if l.Supplier != x.Name {
				continue
			}
			if n++; n == 1 {
				row.Last = s.day(l.ReceivedAt)
			}
			if l.Decision != nil && (l.Decision.Stops() || l.Decision.Decision == models.LotConcession) {
				stopped++
			}
		}
		if n > 0 {
			row.Lots = pieces(n)
		}
		if stopped > 0 {
			row.Stopped = english.Of(stopped, n)
		}
		page.Suppliers = append(page.Suppliers, row)
	}
	return page
}

// MaterialPage edits a material.
type MaterialPage struct {
	Frame
	Title, Path string
	From        string // digest of what a change is made on; empty of a new one
	Fields      []Field
	Roles       []Field
	Plan        []Field
	Problems    Problems
}

func (s *site) newMaterial(c *gin.Context) error {
	values := maps.Clone(usualFigures)
	values["unit"] = "pieces"
	return s.showMaterial(c, http.StatusOK, models.Material{}, "", filled(values))
}

// materialPage edits one.
func (s *site) materialPage(c *gin.Context) error {
	list, err := s.services.Receive.Materials(c.Request.Context())
	if err != nil {
		return err
	}
	for _, m := range list {
		if m.Code == c.Param("code") {
			values := planValues(m.Plan)
			for field, usual := range usualFigures {
				if values[field] == "" {
					values[field] = usual
				}
			}
			values["name"], values["unit"] = m.Name, m.Unit
			if m.Least > 0 {
				values["least"] = fmt.Sprint(m.Least)
			}
			for _, r := range m.Roles {
				values["role."+r] = "yes"
			}
			from, err := models.Digest(m)
			if err != nil {
				return err
			}
			return s.showMaterial(c, http.StatusOK, m, from, filled(values))
		}
	}
	return fmt.Errorf("material %.40q: %w", c.Param("code"), models.ErrNotFound)
}

func (s *site) showMaterial(c *gin.Context, status int, m models.Material, from string, f *form) error {
	page := MaterialPage{Frame: s.frame(c, "Add a material", "/materials"), Title: "Add a material", Path: "/materials/new"}
	if c.Param("code") != "" {
		page.Tab = "Material: " + m.Name
		page.Title, page.Path, page.From = words.Sentence(m.Name), "/materials/"+url.PathEscape(c.Param("code")), from
	} else {
		page.Fields = append(page.Fields, f.field(Field{Name: "code", Label: "Code", Mono: true, Width: "w4", Focus: true, Hint: "harness: small letters, and for good."}))
	}
	page.Fields = append(page.Fields, f.field(Field{Name: "name", Label: "Name", Width: "w4", Hint: "As it stands in a sentence: spokes."}), f.field(Field{Name: "unit", Label: "Counted in", Width: "w4"}),
		f.field(Field{Name: "least", Label: "Short with fewer than", Mode: "numeric", Width: "w4", Optional: true, Hint: "Over all its lots that may be used."}))
	for _, r := range models.PartRoles {
		page.Roles = append(page.Roles, f.field(Field{Name: "role." + r, Label: words.Sentence(english.Part(r)), Kind: "check", Width: "w4"}))
	}
	page.Plan = append(planFields(f, models.PlanZero, models.PlanKinds), planFields(f, models.PlanSingle, models.PlanKinds)[1:]...)
	for i, label := range []string{"Looked at when it comes", "Sample: finds a lot with", "that passes in at most", "Plan: level", "Plan: AQL"} {
		page.Plan[i].Label = label
	}
	page.Problems = f.summary()
	return send(c, status, "material", page)
}

func (s *site) putMaterial(c *gin.Context) error {
	m := models.Material{Code: c.Param("code"), Name: c.PostForm("name"), Unit: c.PostForm("unit"), Plan: planOf(c.PostForm)}
	fresh, from := m.Code == "", c.PostForm("from")
	if fresh {
		m.Code, from = strings.TrimSpace(c.PostForm("code")), ""
	}
	for _, r := range models.PartRoles {
		if c.PostForm("role."+r) != "" {
			m.Roles = append(m.Roles, r)
		}
	}
	var err error
	switch typed := strings.TrimSpace(c.PostForm("least")); {
	case !fresh && from == "": // A form that holds nothing would add.
		err = models.ErrStale
	case typed != "":
		m.Least, err = wholeNumber(c, "least")
	}
	if err == nil {
		_, err = s.services.Receive.PutMaterial(c.Request.Context(), httpx.Actor(c), from, m)
	}
	if fresh && errors.Is(err, models.ErrConflict) {
		err = models.Invalid("code", "taken", "value", m.Code)
	}
	if answerable(err) {
		return s.showMaterial(c, http.StatusUnprocessableEntity, m, from, posted(c, err))
	}
	if err != nil {
		return err
	}
	return redirect(c, "/materials", "material")
}
