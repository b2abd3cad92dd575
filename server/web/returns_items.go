package web

import (
	"fmt"
	"strconv"

	"github.com/gin-gonic/gin"

	"tracewright/models"
	"tracewright/models/words"
	"tracewright/models/work/returns"
)

// ReturnedPage lists what stands behind a number of the page of returns.
type ReturnedPage struct {
	Frame
	About   string
	Answer  string
	Back    []ReturnedRow
	Shipped []ShippedRow
	Longer  bool   // more left than is listed
	Return  string // address of the page it came from
}

// ReturnedRow is an item that came back, without who it belongs to.
type ReturnedRow struct{ Claim, ClaimPath, Serial, Path, Shipped, Opened, Code, Decision, Cost string }

// ShippedRow is an item that left.
type ShippedRow struct{ Serial, Path, Shipped string }

func (s *site) returnedItems(c *gin.Context) error {
	q, _ := returnsQuery(c)
	age := -1
	if text := c.Query("age"); text != "" {
		n, err := strconv.Atoi(text)
		if err != nil || n < 0 || n > 2400 {
			return models.Invalid("age", "not_a_number", "typed", models.Shortened(text))
		}
		age = n
	}
	found, err := s.services.Returns.List(c.Request.Context(), q, c.Query("month"), age)
	if err != nil {
		return err
	}
	return show(c, "returned", s.returnedPage(s.frame(c, "What comes back", "/returns"), q, found))
}

func (s *site) returnedPage(frame Frame, q returns.Query, found returns.Listed) ReturnedPage {
	page := ReturnedPage{Frame: frame, About: found.Family.Name, Longer: found.More, Return: returnsPath(q, "/returns", found.Family.ID, found.Lot)}
	if found.Lot != "" {
		page.About += ", lot " + found.Lot
	}
	if found.Month != "" {
		page.About += ", shipped in " + english.Month(found.Month)
	}
	if found.Age >= 0 {
		page.About += fmt.Sprintf(", back at an age of %s", plural(found.Age, "month", "months"))
	}
	page.Answer = counted(len(found.Back), "item came back", "items came back")
	for _, b := range found.Back {
		row := ReturnedRow{Claim: b.Number, ClaimPath: claimPath(b.Number), Serial: words.Serial(b.Serial), Path: itemPath(b.Serial, b.ItemID), Shipped: s.day(b.ShippedAt), Opened: s.day(b.OpenedAt), Decision: "not decided"}
		if b.Code != "" {
			row.Code = words.Sentence(s.fault(b.Code, b.OpenedAt))
		}
		if b.Decision != "" {
			row.Decision = english.Decision(b.Decision)
		}
		if b.Amount != "" {
			row.Cost = words.Number(b.Amount) + " " + b.Currency
		}
		page.Back = append(page.Back, row)
	}
	for _, i := range found.Shipped {
		page.Shipped = append(page.Shipped, ShippedRow{Serial: words.Serial(i.Serial), Path: itemPath(i.Serial, i.ItemID), Shipped: s.day(i.ShippedAt)})
	}
	return page
}
