package httpx

import (
	"io"
	"strings"

	"github.com/gin-gonic/gin"

	"tracewright/models"
	"tracewright/models/sheet"
)

// Table is a table of numbers of a page, as a spreadsheet opens it. A page with one
// gives it at its own address with ?as=csv behind it, filters and all:
//
//	if httpx.AsTable(c) {
//		return httpx.SendTable(c, page.table())
//	}
//
// and links to itself with [TableQuery]. The numbers are those that the page shows,
// in full: no thousands, a hyphen for a minus, the unit in the heading and not beside
// the number, empty where there is none. It is written as package sheet writes every
// list: UTF-8 with a byte order mark, for spreadsheets know it by that; no cell is
// taken for a formula; with form=semicolons decimals stand behind a comma.
type Table struct {
	Name    string // of the file, without ending
	Columns []TableColumn
	Rows    [][]string
}

// TableColumn is one column: its heading, and the unit of its numbers as people
// read it, empty for text and plain counts.
type TableColumn struct {
	Name   string
	Unit   string
	Number bool // decimals are written as the form has them
}

// heading is "lateral run-out (mm)".
func (c TableColumn) heading() string {
	if c.Unit == "" {
		return c.Name
	}
	return c.Name + " (" + c.Unit + ")"
}

// AsTable says whether a request wants the table of its page.
func AsTable(c *gin.Context) bool { return c.Query("as") == "csv" }

// TableQuery is the request's own query with as=csv in it: what the link to the
// table ends in.
func TableQuery(c *gin.Context) string {
	query := c.Request.URL.Query()
	query.Set("as", "csv")
	return "?" + query.Encode()
}

// plainNumber turns what people read into what a spreadsheet adds up.
var plainNumber = strings.NewReplacer("\u2212", "-", "\u00a0", "", "\u202f", "")

// SendTable answers with a table.
func SendTable(c *gin.Context, t Table) error {
	form, known := sheet.FormNamed(c.Query("form"))
	if !known {
		return models.Invalid("form", "unknown_choice", "typed", models.Shortened(c.Query("form")))
	}
	return SendFile(c, t.Name+".csv", sheet.MediaType, func(to io.Writer) error {
		w := sheet.NewWriter(to, form)
		cells := make([]string, len(t.Columns))
		for i, column := range t.Columns {
			cells[i] = column.heading()
		}
		if err := w.Row(cells...); err != nil {
			return err
		}
		for _, row := range t.Rows {
			for i, column := range t.Columns {
				cells[i] = ""
				if i < len(row) {
					cells[i] = row[i]
				}
				if column.Number {
					cells[i] = w.Number(plainNumber.Replace(cells[i]))
				}
			}
			if err := w.Row(cells...); err != nil {
				return err
			}
		}
		return w.Flush()
	})
}
