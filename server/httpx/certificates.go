package httpx

import (
	"io"

	"github.com/gin-gonic/gin"

	"tracewright/models"
)

// ShipmentCertificates sends the certificates of all that went in a shipment, as
// they stand today. Its number is the part of the path that is named so.
func (s Services) ShipmentCertificates(part string) Handler {
	return func(c *gin.Context) error {
		sh, err := s.Shipping.Shipment(c.Request.Context(), c.Param(part))
		if err != nil {
			return err
		}
		return s.sendCertificates(c, sh.Number, sh.Inside())
	}
}

// KitCertificates sends those of all that lies in a kit; its serial is the part
// of the path that is named so.
func (s Services) KitCertificates(part string) Handler {
	return func(c *gin.Context) error {
		k, err := s.Shipping.Kit(c.Request.Context(), c.Param(part))
		if err != nil {
			return err
		}
		return s.sendCertificates(c, k.Item.Name(), k.Inside())
	}
}

func (s Services) sendCertificates(c *gin.Context, of string, items []models.Item) error {
	ctx := c.Request.Context()
	bundle, err := s.Release.Bundle(ctx, items)
	if err != nil {
		return err
	}
	return SendFile(c, "certificates-"+of+".zip", "application/zip", func(to io.Writer) error { return bundle.Write(ctx, to) })
}
