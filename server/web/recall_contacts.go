package web

import (
	"bytes"
	"encoding/csv"
	"fmt"
	"net/http"
	"strings"

	"github.com/gin-gonic/gin"

	"tracewright/models"
	"tracewright/models/words"
	"tracewright/server/httpx"
)

// recallContacts is what the desk telephones and writes by: each shipped item of a
// recall with whom it went to. Each customer in it is looked up, and the look
// recorded, as on their own page.
func (s *site) recallContacts(c *gin.Context) error {
	v, err := s.services.Recall.Recall(c.Request.Context(), c.Param("number"))
	if err != nil {
		return err
	}
	people, err := s.services.Shipping.CustomersOf(c.Request.Context(), httpx.Actor(c), v.Customers(), "recall "+v.Number)
	if err != nil {
		return err
	}
	rows := [][]string{{"serial", "possibly", "shipped", "shipment", "order", "name", "phone", "e-mail", "address", "what came of it"}}
	for _, r := range v.Rows {
		if r.Where != models.RecallShipped {
			continue
		}
		row := make([]string, len(rows[0]))
		row[0] = words.Serial(r.Of.Name())
		if r.Possibly {
			row[1] = "by a bin"
		}
		if r.Shipment != nil {
			who := people[r.Shipment.Customer]
			copy(row[2:], []string{r.Shipment.ShippedAt.In(s.zone()).Format("2006-01-02"), r.Shipment.Number, r.Shipment.OrderRef, who.Name, who.Phone, who.Email, who.Address})
		}
		if r.Response != nil {
			row[9] = english.Response(r.Response.Response)
		}
		for i := range row {
			row[i] = inert(row[i])
		}
		rows = append(rows, row)
	}
	var b bytes.Buffer
	b.WriteString("\uFEFF") // spreadsheets read UTF-8 by it
	if err := csv.NewWriter(&b).WriteAll(rows); err != nil {
		return fmt.Errorf("contacts of recall %s: %w", v.Number, err)
	}
	c.Header("Content-Disposition", `attachment; filename="`+v.Number+` contacts.csv"`)
	c.Data(http.StatusOK, "text/csv; charset=utf-8", b.Bytes())
	return nil
}

// inert is a cell that no spreadsheet takes for a formula: one that begins like a
// formula gets an apostrophe (OWASP, CSV Injection).
func inert(cell string) string {
	if cell != "" && strings.ContainsRune("=+-@\t\r", rune(cell[0])) {
		return "'" + cell
	}
	return cell
}
