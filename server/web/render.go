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
	"sync"

	"github.com/gin-gonic/gin"
)

//go:embed templates/*.html
var templateFiles embed.FS

// pages finds every page's template, parsed once, when it is first asked for: the
// layout, the parts and the page itself. Parts are the files whose name starts
// with an underscore, and each page has a copy of them: all at once would be
// the greater part of what an idle server holds, and of its start.
var pages = mustFind(templateFiles)

// mustFind panics when the parts do not parse: such a program cannot have passed
// its own render test, which draws every page.
func mustFind(files fs.FS) map[string]func() (*template.Template, error) {
	listed, err := findPages(files)
	if err != nil {
		panic(err)
	}
	return listed
}

func findPages(files fs.FS) (map[string]func() (*template.Template, error), error) {
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
	out := map[string]func() (*template.Template, error){}
	for _, name := range whole {
		out[strings.TrimSuffix(path.Base(name), ".html")] = sync.OnceValues(func() (*template.Template, error) {
			// A clone per page, because each page defines "main" in its own way.
			page, err := base.Clone()
			if err == nil {
				page, err = page.ParseFS(files, name)
			}
			if err != nil {
				return nil, fmt.Errorf("parse page %s: %w", name, err)
			}
			return page, nil
		})
	}
	return out, nil
}

// renderPage draws a page into a buffer. The page's template defines "main"
// and, where the layout's own shall not be used, "page".
func renderPage(name string, data any) ([]byte, error) {
	parsed, ok := pages[name]
	if !ok {
		return nil, fmt.Errorf("render page %s: no such template", name)
	}
	page, err := parsed()
	if err != nil {
		return nil, err
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
