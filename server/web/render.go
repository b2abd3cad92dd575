package web

import (
	"bytes"
	"embed"
	"fmt"
	"html/template"
	"io/fs"
	"net/http"
	"path"
	"strings"

	"github.com/gin-gonic/gin"
)

//go:embed templates/*.html
var templateFiles embed.FS

// pages holds every page's template, parsed once: the layout, the parts and
// the page itself. Parts are the files whose name starts with an underscore.
var pages = mustParse(templateFiles)

// mustParse panics when an embedded template does not parse: such a program
// cannot have passed its own render test.
func mustParse(files fs.FS) map[string]*template.Template {
	parsed, err := parsePages(files)
	if err != nil {
		panic(err)
	}
	return parsed
}

func parsePages(files fs.FS) (map[string]*template.Template, error) {
	names, err := fs.Glob(files, "templates/*.html")
	if err != nil {
		return nil, fmt.Errorf("list templates: %w", err)
	}
	var parts, whole []string
	for _, name := range names {
		if strings.HasPrefix(path.Base(name), "_") {
			parts = append(parts, name)
		} else {
			whole = append(whole, name)
		}
	}
	base := template.New("").Funcs(functions)
	if len(parts) > 0 {
		if base, err = base.ParseFS(files, parts...); err != nil {
			return nil, fmt.Errorf("parse the parts of pages: %w", err)
		}
	}
	out := map[string]*template.Template{}
	for _, name := range whole {
		// A clone per page, because each page defines "main" in its own way.
		page, err := template.Must(base.Clone()).ParseFS(files, name)
		if err != nil {
			return nil, fmt.Errorf("parse page %s: %w", name, err)
		}
		out[strings.TrimSuffix(path.Base(name), ".html")] = page
	}
	return out, nil
}

// renderPage draws a page into a buffer. The page's template defines "main"
// and, where the layout's own shall not be used, "page".
func renderPage(name string, data any) ([]byte, error) {
	page, ok := pages[name]
	if !ok {
		return nil, fmt.Errorf("render page %s: no such template", name)
	}
	var out bytes.Buffer
	if err := page.ExecuteTemplate(&out, "page", data); err != nil {
		return nil, fmt.Errorf("render page %s: %w", name, err)
	}
	return out.Bytes(), nil
}

// send renders a page and sends it; nothing is sent when rendering fails.
func send(c *gin.Context, status int, name string, data any) error {
	body, err := renderPage(name, data)
	if err != nil {
		return err
	}
	// Pages show what people may not see next week or on another account.
	c.Header("Cache-Control", "no-store")
	c.Data(status, "text/html; charset=utf-8", body)
	return nil
}

// show sends a page with status 200.
func show(c *gin.Context, name string, data any) error {
	return send(c, http.StatusOK, name, data)
}
