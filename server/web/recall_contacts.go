package web

import (
	"io"

	"github.com/gin-gonic/gin"

	"tracewright/models"
	"tracewright/models/sheet"
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
			who, kept := people[r.Shipment.Customer]
			if !kept && r.Shipment.Customer != "" {
				who.Name = "erased"
			}
			copy(row[2:], []string{r.Shipment.ShippedAt.In(s.zone()).Format("2006-01-02"), r.Shipment.Number, r.Shipment.OrderRef, who.Name, who.Phone, who.Email, who.Address})
		}
		if r.Response != nil {
			row[9] = english.Response(r.Response.Response)
		}
		rows = append(rows, row)
	}
	return httpx.SendFile(c, v.Number+" contacts.csv", sheet.MediaType, func(to io.Writer) error {
		w := sheet.NewWriter(to, sheet.Commas)
		for _, row := range rows {
			if err := w.Row(row...); err != nil {
				return err
			}
		}
		return w.Flush()
	})
}
