package web

import (
	"io"

	"github.com/gin-gonic/gin"

	"tracewright/models"
	"tracewright/server/httpx"
)

// shipmentCertificates sends the certificates of all that went in a shipment, as
// they stand today.
func (s *site) shipmentCertificates(c *gin.Context) error {
	sh, err := s.services.Shipping.Shipment(c.Request.Context(), c.Param("number"))
	if err != nil {
		return err
	}
	return s.sendCertificates(c, sh.Number, sh.Inside())
}

// kitCertificates sends those of all that lies in a kit.
func (s *site) kitCertificates(c *gin.Context) error {
	k, err := s.services.Shipping.Kit(c.Request.Context(), c.Param("serial"))
	if err != nil {
		return err
	}
	return s.sendCertificates(c, k.Item.Name(), k.Inside())
}

func (s *site) sendCertificates(c *gin.Context, of string, items []models.Item) error {
	ctx := c.Request.Context()
	bundle, err := s.services.Release.Bundle(ctx, items)
	if err != nil {
		return err
	}
	return httpx.SendFile(c, "certificates-"+of+".zip", "application/zip", func(to io.Writer) error { return bundle.Write(ctx, to) })
}
