package api

import (
	_ "embed"

	"github.com/gin-gonic/gin"

	"tracewright/server/httpx"
)

// The program holds openapi.yaml compressed: it is ten times as long.
//
//go:generate gzip -9nkf openapi.yaml
//go:embed openapi.yaml.gz
var zippedDocument []byte

// Document is the description of the interface, OpenAPI 3.1.
var Document = httpx.KeptZipped(zippedDocument, "application/yaml; charset=utf-8")

// openAPI hands the description out; it holds nothing of the shop.
func openAPI(c *gin.Context) error { return Document.Send(c) }
