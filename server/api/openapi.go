package api

import (
	_ "embed"
	"net/http"

	"github.com/gin-gonic/gin"

	"tracewright/server/httpx"
)

// Document is the description of the interface, OpenAPI 3.1.
//
//go:embed openapi.yaml
var Document []byte

// openAPI hands the description out; it holds nothing of the shop.
func openAPI(c *gin.Context) error {
	httpx.Send(c, http.StatusOK, "application/yaml; charset=utf-8", Document)
	return nil
}
