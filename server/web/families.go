package web

import (
	"fmt"
	"net/http"
	"strings"

	"github.com/gin-gonic/gin"

	"tracewright/models/trade/kinds"
	"tracewright/models/words"
	"tracewright/models/work/specify"
	"tracewright/server/httpx"
)

// FamiliesPage lists what this workshop makes.
type FamiliesPage struct {
	Frame
	Answer string
	Groups []FamilyLine
}

// FamilyLine is a family with its products.
type FamilyLine struct {
	Name, Path, Kind string
	Specification    string
	SpecPath         string
	Products         []ProductLine
}

// ProductLine is one product.
type ProductLine struct{ Name, Path string }

func (s *site) families(c *gin.Context) error {
	ctx := c.Request.Context()
	families, err := s.services.Specify.Families(ctx)
	if err != nil {
		return err
	}
	page := FamiliesPage{Frame: s.frame(c, "Families and products", "/families"), Answer: "No family yet"}
	products := 0
	for _, f := range families {
		v, err := s.services.Specify.Family(ctx, f.ID)
		if err != nil {
			return err
		}
		line := FamilyLine{Name: f.Name, Path: "/families/" + f.ID, Kind: english.Kind(f.Kind), Specification: fmt.Sprintf("specification %d, grade %s", v.InForce.Revision, english.Grade(v.InForce.Grade)), SpecPath: "/specifications/" + v.InForce.ID}
		for _, p := range v.Products {
			line.Products = append(line.Products, ProductLine{p.Name, "/products/" + p.ID})
			products++
		}
		page.Groups = append(page.Groups, line)
	}
	if n := len(page.Groups); n > 0 {
		page.Answer = counted(products, "product", "products") + " in " + lowered(counted(n, "family", "families"))
	}
	return show(c, "families", page)
}

// FamilyPage is one family: its products and its specifications.
type FamilyPage struct {
	Frame
	Name, ID, Kind string
	Since          string
	Products       []ProductLine
	Specifications []SpecificationLine
}

// SpecificationLine is one revision in a list.
type SpecificationLine struct {
	Of, Path, Grade, Rule, Reason, Since string
	Revision                             int
	InForce                              bool
}

func (s *site) family(c *gin.Context) error {
	v, err := s.services.Specify.Family(c.Request.Context(), c.Param("id"))
	if err != nil {
		return err
	}
	page := FamilyPage{Frame: s.frame(c, v.Family.Name, "/families"), Name: v.Family.Name, ID: v.Family.ID, Kind: english.Kind(v.Family.Kind), Since: s.day(v.Family.CreatedAt)}
	for _, p := range v.Products {
		page.Products = append(page.Products, ProductLine{p.Name, "/products/" + p.ID})
	}
	page.Specifications = s.specificationLines(v)
	return show(c, "family", page)
}

// specificationLines lists the revisions of a family and its products; the
// newest of each owner is in force.
func (s *site) specificationLines(v specify.FamilyView) []SpecificationLine {
	names := map[string]string{}
	for _, p := range v.Products {
		names[p.ID] = p.Name
	}
	newest := map[string]int{}
	for _, x := range v.Specifications {
		if owner := pointed(x.ProductID); x.Revision > newest[owner] {
			newest[owner] = x.Revision
		}
	}
	var lines []SpecificationLine
	for _, x := range v.Specifications {
		owner := pointed(x.ProductID)
		of := v.Family.Name
		if owner != "" {
			of = names[owner]
		}
		lines = append(lines, SpecificationLine{Of: of, Path: "/specifications/" + x.ID, Revision: x.Revision, Grade: english.Grade(x.Grade), Rule: english.Rule(x.Rule), Reason: x.Reason, Since: s.day(x.CreatedAt), InForce: x.Revision == newest[owner]})
	}
	return lines
}

// FamilyForm adds a family.
type FamilyForm struct {
	Frame
	Fields   []Field
	Problems Problems
}

func (s *site) newFamily(c *gin.Context) error { return s.showNewFamily(c, http.StatusOK, nil) }

func (s *site) showNewFamily(c *gin.Context, status int, problem error) error {
	f := posted(c, problem)
	grades := []Choice{{"", "the usual one of the kind"}}
	var kindChoices []Choice
	for _, k := range kinds.Catalogue() {
		kindChoices = append(kindChoices, Choice{k.Name, words.Sentence(english.Kind(k.Name))})
		for _, g := range k.Grades {
			grades = append(grades, Choice{g, english.Kind(k.Name) + ": " + english.Grade(g)})
		}
	}
	page := FamilyForm{Frame: s.frame(c, "Add a family", "/families"), Fields: []Field{
		f.field(Field{Name: "name", Label: "Name", Width: "w6", Focus: true, Hint: "What its products share: “rear wheels, 559”."}),
		f.field(Field{Name: "kind", Label: "Kind of item", Kind: "select", Width: "w6", Choices: kindChoices}),
		f.field(Field{Name: "grade", Label: "Grade to start from", Kind: "select", Width: "w6", Choices: grades, Hint: "Its limits are common practice and yours to change."}),
	}}
	page.Problems = f.summary()
	return send(c, status, "family_new", page)
}

func (s *site) addFamily(c *gin.Context) error {
	v, err := s.services.Specify.AddFamily(c.Request.Context(), httpx.Actor(c), specify.NewFamily{Kind: c.PostForm("kind"), Name: strings.TrimSpace(c.PostForm("name")), Grade: c.PostForm("grade")})
	if answerable(err) {
		return s.showNewFamily(c, http.StatusUnprocessableEntity, err)
	}
	if err != nil {
		return err
	}
	return redirect(c, "/families/"+v.Family.ID, "family")
}
