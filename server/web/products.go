package web

import (
	"fmt"
	"net/http"
	"strconv"
	"strings"

	"github.com/gin-gonic/gin"

	"tracewright/models"
	"tracewright/models/trade/kinds"
	"tracewright/models/words"
	"tracewright/models/work/specify"
	"tracewright/server/httpx"
)

// ProductPage is one product: its short form, what it is judged by, and the
// forms it had before.
type ProductPage struct {
	Frame
	ID, Name, Family, FamilyPath string
	Kind                         string
	Groups                       []PairGroup
	Revision                     int
	Since                        string
	Specification, SpecPath      string
	Own                          bool
	Revisions                    []RevisionLine
	Record                       string
}

// PairGroup is a part of a form as it is read.
type PairGroup struct {
	Legend string
	Pairs  []Pair
}

// Pair is a label and its value.
type Pair struct{ Label, Value string }

// RevisionLine says what one revision changed.
type RevisionLine struct {
	Revision          int
	Since, By, Reason string
	Changes           []Change
}

// Change is one answer that became another.
type Change struct{ What, From, To string }

func (s *site) product(c *gin.Context) error {
	ctx := c.Request.Context()
	v, err := s.services.Specify.Product(ctx, c.Param("id"))
	if err != nil {
		return err
	}
	people, err := s.people(ctx)
	if err != nil {
		return err
	}
	blocks, err := s.namedProducts(ctx, v.Family.Kind)
	if err != nil {
		return err
	}
	page := ProductPage{Frame: s.frame(c, v.Product.Name, "/families"), ID: v.Product.ID, Name: v.Product.Name, Family: v.Family.Name, FamilyPath: "/families/" + v.Family.ID, Kind: english.Kind(v.Family.Kind),
		Groups: pairs(v.Family.Kind, v.Form.Form, blocks...), Revision: v.Form.Revision, Since: s.day(v.Form.CreatedAt), SpecPath: "/specifications/" + v.InForce.ID, Own: v.Own}
	page.Specification = fmt.Sprintf("Specification %d of the family, grade %s", v.InForce.Revision, english.Grade(v.InForce.Grade))
	if v.Own {
		page.Specification = fmt.Sprintf("Specification %d of its own, grade %s", v.InForce.Revision, english.Grade(v.InForce.Grade))
	}
	for i, r := range v.Revisions {
		line := RevisionLine{Revision: r.Revision, Since: s.day(r.CreatedAt), By: name(people, r.CreatedBy), Reason: r.Reason}
		if i+1 < len(v.Revisions) {
			line.Changes = formChanges(v.Family.Kind, v.Revisions[i+1].Form, r.Form, blocks...)
		}
		page.Revisions = append(page.Revisions, line)
	}
	return show(c, "product", page)
}

// pairs shows a form as it stands: the labels of its questions with their
// answers, without those that are empty.
func pairs(kind string, form models.ProductForm, blocks ...Choice) []PairGroup {
	var out []PairGroup
	for _, g := range productGroups(kind, filled(formValues(form)), blocks...) {
		group := PairGroup{Legend: g.Legend}
		for _, x := range g.Fields {
			if text := answerText(x); text != "" {
				group.Pairs = append(group.Pairs, Pair{x.Label, text})
			}
		}
		if len(group.Pairs) > 0 {
			out = append(out, group)
		}
	}
	return out
}

// answerText is a field's answer as it is read.
func answerText(x Field) string {
	text := x.Value
	if text == "" {
		return "" // A choice may have words for no answer; they are none.
	}
	for _, choice := range x.Choices {
		if choice.Value == x.Value {
			text = choice.Text
		}
	}
	if text != "" && text != noLimit && x.Unit != "" {
		text += words.NoBreakSpace + x.Unit
	}
	return text
}

// formChanges lists the answers that differ between two forms.
func formChanges(kind string, before, after models.ProductForm, blocks ...Choice) []Change {
	old := map[string]string{}
	for _, g := range productGroups(kind, filled(formValues(before)), blocks...) {
		for _, x := range g.Fields {
			old[x.Name] = answerText(x)
		}
	}
	var out []Change
	for _, g := range productGroups(kind, filled(formValues(after)), blocks...) {
		for _, x := range g.Fields {
			if text := answerText(x); text != old[x.Name] {
				out = append(out, Change{x.Label, orEmpty(old[x.Name]), orEmpty(text)})
			}
		}
	}
	return out
}

// asStored is a form as it will stand: a block's with what it leaves open filled in. One
// that cannot be is refused by its service, which says why.
func asStored(form models.ProductForm) models.ProductForm {
	if form.Block == nil {
		return form
	}
	block, err := kinds.WithBlockDefaults(*form.Block)
	if err != nil {
		return form
	}
	return models.ProductForm{Block: &block}
}

func orEmpty(text string) string {
	if text == "" {
		return "nothing"
	}
	return text
}

// ProductFormPage makes or revises a product.
type ProductFormPage struct {
	Frame
	Title, About string
	Path, Back   string
	Name         *Field   // of a new product
	First        bool     // asks what the rest of the form follows from
	Chosen       []string // what was answered to that
	Sent         []Choice // the same, as the form sends it along
	Again        string   // where it is asked again
	Groups       []FieldGroup
	Reason       *Field // of a revision
	From         int
	Changes      []Change // shown before a revision is made
	Confirming   bool
	Button       string
	Problems     Problems
}

func (s *site) newProduct(c *gin.Context) error { return s.showNewProduct(c, http.StatusOK, nil) }

func (s *site) showNewProduct(c *gin.Context, status int, problem error) error {
	family, err := s.services.Specify.Family(c.Request.Context(), c.Param("id"))
	if err != nil {
		return err
	}
	f := filled(formValues(usual(family.Family.Kind)))
	if c.Request.Method == http.MethodPost {
		f = posted(c, problem)
	}
	blocks, err := s.namedProducts(c.Request.Context(), family.Family.Kind)
	if err != nil {
		return err
	}
	nameField := f.field(Field{Name: "name", Label: "Name", Focus: true, Width: "w6"})
	page := ProductFormPage{Frame: s.frame(c, "Add a product", "/families"), Title: "Add a product", About: family.Family.Name, Path: "/families/" + family.Family.ID + "/products/new", Back: "/families/" + family.Family.ID,
		Name: &nameField, Button: "Add the product"}
	if family.Family.Kind == models.KindBlock {
		return s.newBlock(c, status, page, f)
	}
	page.Groups = productGroups(family.Family.Kind, f, blocks...)
	page.Problems = f.summary()
	return send(c, status, "product_form", page)
}

func (s *site) addProduct(c *gin.Context) error {
	ctx := c.Request.Context()
	family, err := s.services.Specify.Family(ctx, c.Param("id"))
	if err != nil {
		return err
	}
	v, err := s.services.Specify.AddProduct(ctx, httpx.Actor(c), specify.NewProduct{FamilyID: family.Family.ID, Name: strings.TrimSpace(c.PostForm("name")), Form: productForm(family.Family.Kind, c.PostForm)})
	if answerable(err) {
		return s.showNewProduct(c, http.StatusUnprocessableEntity, err)
	}
	if err != nil {
		return err
	}
	return redirect(c, "/products/"+v.Product.ID, "product")
}

func (s *site) reviseProductPage(c *gin.Context) error {
	return s.showReviseProduct(c, http.StatusOK, false, nil)
}

func (s *site) showReviseProduct(c *gin.Context, status int, confirming bool, problem error) error {
	v, err := s.services.Specify.Product(c.Request.Context(), c.Param("id"))
	if err != nil {
		return err
	}
	blocks, err := s.namedProducts(c.Request.Context(), v.Family.Kind)
	if err != nil {
		return err
	}
	f := filled(formValues(v.Form.Form))
	from := v.Form.Revision
	var changes []Change
	if c.Request.Method == http.MethodPost {
		f = posted(c, problem)
		from, _ = strconv.Atoi(c.PostForm("from"))
		changes = formChanges(v.Family.Kind, v.Form.Form, asStored(productForm(v.Family.Kind, c.PostForm)), blocks...)
	}
	page := ProductFormPage{Frame: s.frame(c, "Revise "+v.Product.Name, "/families"), Title: "Revise its form", About: v.Product.Name, Path: "/products/" + v.Product.ID + "/revise", Back: "/products/" + v.Product.ID,
		Groups: productGroups(v.Family.Kind, f, blocks...), From: from, Changes: changes, Confirming: confirming, Button: "See what changes"}
	reason := f.field(Field{Name: "reason", Label: "Why it is revised", Kind: "text area"})
	page.Reason = &reason
	page.Problems = f.summary()
	if confirming {
		page.Button = fmt.Sprintf("Make revision %d", from+1)
		if problem == nil && len(changes) == 0 {
			page.Confirming = false
			page.Problems = Problems{Any: true, Count: "nothing was changed", Loose: []string{"Change an answer first."}}
		}
	}
	return send(c, status, "product_form", page)
}

func (s *site) reviseProduct(c *gin.Context) error {
	if c.PostForm("confirmed") == "" {
		return s.showReviseProduct(c, http.StatusOK, true, nil)
	}
	ctx := c.Request.Context()
	v, err := s.services.Specify.Product(ctx, c.Param("id"))
	if err != nil {
		return err
	}
	from, _ := strconv.Atoi(c.PostForm("from")) // 0, which is never the newest, is stale.
	_, err = s.services.Specify.ReviseProduct(ctx, httpx.Actor(c), v.Product.ID, from, productForm(v.Family.Kind, c.PostForm), strings.TrimSpace(c.PostForm("reason")))
	if answerable(err) {
		return s.showReviseProduct(c, http.StatusUnprocessableEntity, true, err)
	}
	if err != nil {
		return err
	}
	return redirect(c, "/products/"+v.Product.ID, "revised")
}
