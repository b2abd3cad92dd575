package web

import (
	"cmp"
	"net/http"
	"net/url"
	"strconv"

	"github.com/gin-gonic/gin"

	"tracewright/models"
	"tracewright/models/trade/pack"
)

// blockKindFields ask which kind of block it is: what it is made of, how many cells it
// has and how much they hold. Its usual limits follow from the three.
func blockKindFields(f *form) []Field {
	return []Field{
		f.field(Field{Name: blockPrefix + "chemistry", Label: "Made of", Kind: "select", Width: "w6", Choices: blockChemistries()}),
		f.field(Field{Name: blockPrefix + "cells", Label: "Cells in a block", Mode: "numeric", Width: "w3"}),
		f.field(Field{Name: blockPrefix + "capacity_ah", Label: "Rated capacity", Unit: "Ah", Mode: "decimal", Width: "w3", Optional: true}),
	}
}

// blockKind says whether the kind of block was chosen that a form is for, and what is
// wrong with the choice.
func blockKind(value func(string) string) (chosen bool, problem error) {
	chemistry, typed := value(blockPrefix+"chemistry"), value(blockPrefix+"cells")
	if chemistry+typed == "" {
		return false, nil
	}
	invalid := &models.InvalidError{}
	if !pack.Chemistry(chemistry).Known() {
		invalid.Add(blockPrefix+"chemistry", "unknown_choice", "typed", models.Shortened(chemistry))
	}
	if n, err := strconv.Atoi(typed); err != nil || n < 1 {
		invalid.Add(blockPrefix+"cells", "too_small", "least", "1")
	} else if n > pack.MostCells {
		invalid.Add(blockPrefix+"cells", "too_big", "most", strconv.Itoa(pack.MostCells))
	}
	return true, invalid.OrNil()
}

// newBlock completes the form of a new model of block: first it asks which kind it is,
// then the rest, with the limits that are usual for that kind.
func (s *site) newBlock(c *gin.Context, status int, page ProductFormPage, f *form) error {
	asked, usual := f.value, f.value
	if c.Request.Method == http.MethodGet {
		asked, f.value = c.Query, func(name string) string { return cmp.Or(c.Query(name), usual(name)) }
	}
	chosen, wrong := blockKind(asked)
	if !chosen || wrong != nil || c.Query("again") != "" {
		f = newForm(f.value, wrong)
		page.First, page.Name, page.Button = true, nil, "Go on"
		page.Groups = []FieldGroup{{Legend: "Which kind of block", Hint: "Its usual limits follow from it.", Fields: blockKindFields(f)}}
		page.Problems = f.summary()
		return send(c, status, "product_form", page)
	}
	again := url.Values{"again": {"yes"}}
	for _, x := range blockKindFields(newForm(f.value, nil)) {
		again.Set(x.Name, x.Value)
		page.Sent = append(page.Sent, Choice{x.Name, x.Value})
		if text := answerText(x); x.Name == blockPrefix+"cells" {
			n, _ := strconv.Atoi(x.Value)
			page.Chosen = append(page.Chosen, plural(n, "cell", "cells"))
		} else if text != "" {
			page.Chosen = append(page.Chosen, text)
		}
	}
	page.Again = page.Path + "?" + again.Encode()
	page.Groups = blockGroups(f, false)
	page.Problems = f.summary()
	return send(c, status, "product_form", page)
}
