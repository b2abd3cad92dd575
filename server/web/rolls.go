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
	"tracewright/models/work/receive"
	"tracewright/server/httpx"
)

// RollsPage lists the label rolls printed ahead and reserves a new one.
type RollsPage struct {
	Frame
	Answer   string
	Rows     []RollRow
	Fields   []Field
	Problems Problems
}

// RollRow is one roll.
type RollRow struct {
	ID, Kind, First, Last, Product, Printed string
	Count                                   int
}

func (s *site) rolls(c *gin.Context) error { return s.showRolls(c, http.StatusOK, nil) }

func (s *site) showRolls(c *gin.Context, status int, problem error) error {
	ctx := c.Request.Context()
	rolls, err := s.services.Receive.Rolls(ctx)
	if err != nil {
		return err
	}
	people, err := s.people(ctx)
	if err != nil {
		return err
	}
	products, err := s.services.Specify.Products(ctx, "")
	if err != nil {
		return err
	}
	names := map[string]string{}
	productChoices := []Choice{{"", "asked for at each first scan"}}
	for _, p := range products {
		names[p.ID] = p.Name
		productChoices = append(productChoices, Choice{p.ID, p.Name})
	}
	var kindChoices []Choice
	letters := map[string]string{}
	for _, k := range kinds.Catalogue() {
		kindChoices = append(kindChoices, Choice{k.Name, words.Sentence(english.Kind(k.Name))})
		letters[string(rune(k.Letter))] = words.Sentence(english.Kind(k.Name))
	}
	f := posted(c, problem)
	page := RollsPage{Frame: s.frame(c, "Label rolls", "/rolls"), Answer: "No roll reserved yet", Fields: []Field{
		f.field(Field{Name: "kind", Label: "For", Kind: "select", Width: "w4", Choices: kindChoices}),
		f.field(Field{Name: "count", Label: "Numbers to reserve", Mode: "numeric", Width: "w4", Hint: "About one in nine gives no serial and is passed over."}),
		f.field(Field{Name: "product", Label: "Product", Kind: "select", Width: "w4", Choices: productChoices}),
	}}
	page.Problems = f.summary()
	for _, r := range rolls {
		serials := receive.Serials(r)
		row := RollRow{ID: r.ID, Kind: letters[r.Letter], Count: len(serials), Product: names[pointed(r.ProductID)], Printed: s.day(r.PrintedAt) + ", " + name(people, r.PrintedBy)}
		if len(serials) > 0 {
			row.First, row.Last = serials[0], serials[len(serials)-1]
		}
		page.Rows = append(page.Rows, row)
	}
	if n := len(page.Rows); n > 0 {
		page.Answer = counted(n, "roll is", "rolls are") + " reserved"
	}
	return send(c, status, "rolls", page)
}

func (s *site) addRoll(c *gin.Context) error {
	count, err := strconv.Atoi(strings.TrimSpace(c.PostForm("count")))
	if err != nil {
		err = models.Invalid("count", "not_a_number", "typed", c.PostForm("count"))
	} else {
		_, err = s.services.Receive.AddRoll(c.Request.Context(), httpx.Actor(c), receive.NewRoll{Kind: c.PostForm("kind"), ProductID: c.PostForm("product"), Count: count})
	}
	if answerable(err) {
		return s.showRolls(c, http.StatusUnprocessableEntity, err)
	}
	if err != nil {
		return err
	}
	return redirect(c, "/rolls", "roll")
}

// rollSerials lists the serials of a roll as plain text, one a line, for
// whatever prints the labels.
func (s *site) rollSerials(c *gin.Context) error {
	rolls, err := s.services.Receive.Rolls(c.Request.Context())
	if err != nil {
		return err
	}
	for _, r := range rolls {
		if r.ID == c.Param("id") {
			c.Header("Content-Disposition", fmt.Sprintf(`attachment; filename="serials-%s%d-%d.txt"`, r.Letter, r.Year, r.First))
			c.String(http.StatusOK, "%s\n", strings.Join(receive.Serials(r), "\n"))
			return nil
		}
	}
	return fmt.Errorf("roll %.40q: %w", c.Param("id"), models.ErrNotFound)
}

// makeItem gives the next serial to a new item of a product.
func (s *site) makeItem(c *gin.Context) error {
	item, err := s.services.Receive.MakeItem(c.Request.Context(), httpx.Actor(c), receive.NewItem{ProductID: c.Param("id")})
	if err != nil {
		return err
	}
	return redirect(c, itemPath(pointed(item.Serial), item.ID), "made")
}
