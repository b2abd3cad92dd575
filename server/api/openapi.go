package api

import (
	_ "embed"

	"github.com/gin-gonic/gin"

	"tracewright/server/httpx"
)

// The document is written in parts, by tag, each of which is joined to the one before as
// it stands. The program holds it compressed: it is ten times as long.
//
//go:generate sh -c "cat openapi/head.yaml openapi/paths/*.yaml openapi/components.yaml openapi/examples.yaml openapi/schemas/*.yaml | gzip -9nc >openapi.yaml.gz"
//go:embed openapi.yaml.gz
var zippedDocument []byte

// Document is the description of the interface, OpenAPI 3.1.
var Document = httpx.KeptZipped(zippedDocument, "application/yaml; charset=utf-8")

// openAPI hands the description out; it holds nothing of the shop.
func openAPI(c *gin.Context) error { return Document.Send(c) }
