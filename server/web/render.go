package web

import (
	"bytes"
	"fmt"
	"html/template"
	"io/fs"
	"net/http"
	"path"
	"strings"
	"sync"
	"text/template/parse"

	"github.com/gin-gonic/gin"

	"tracewright/server/httpx"
)

// pages holds every page's template: the layout, the parts and the page itself.
// Parts are the files whose name starts with an underscore. A page is put together
// when it is first asked for, of what it uses: all of them, each with every part,
// took more memory than the rest of an idle server.
var pages = mustParse(packedFiles)

// mustParse panics when an embedded part does not parse: such a program cannot
// have passed its own render test, which also puts every page together.
func mustParse(files fs.FS) map[string]func() (*template.Template, error) {
	parsed, err := parsePages(files)
	if err != nil {
		panic(err)
	}
	return parsed
}

func parsePages(files fs.FS) (map[string]func() (*template.Template, error), error) {
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
		out[strings.TrimSuffix(path.Base(name), ".html")] = sync.OnceValues(func() (*template.Template, error) { return together(files, base, name) })
	}
	return out, nil
}

// together puts a page together with those of the parts that it uses, and what
// they use. What it defines itself, as "main", stands in place of a part's. Each
// page has copies of its own: the first look at a template changes it.
func together(files fs.FS, base *template.Template, name string) (*template.Template, error) {
	page, err := template.New("").Funcs(functions).ParseFS(files, name)
	if err != nil {
		return nil, fmt.Errorf("parse page %s: %w", name, err)
	}
	wanted := []string{"page"}
	for _, t := range page.Templates() {
		if t.Tree != nil { // The nameless one, which holds them, has none.
			wanted = append(wanted, usedBy(t.Tree.Root)...)
		}
	}
	for len(wanted) > 0 {
		next := wanted[0]
		wanted = wanted[1:]
		part := base.Lookup(next)
		if page.Lookup(next) != nil || part == nil { // What is nowhere is told when it is drawn.
			continue
		}
		if page, err = page.AddParseTree(next, part.Tree.Copy()); err != nil {
			return nil, fmt.Errorf("parse page %s: %w", name, err)
		}
		wanted = append(wanted, usedBy(part.Tree.Root)...)
	}
	return page, nil
}

// usedBy names the templates that a piece of one draws.
func usedBy(node parse.Node) (names []string) {
	branch := func(b *parse.BranchNode) {
		names = append(names, usedBy(b.List)...)
		if b.ElseList != nil {
			names = append(names, usedBy(b.ElseList)...)
		}
	}
	switch n := node.(type) {
	case *parse.ListNode:
		for _, inner := range n.Nodes {
			names = append(names, usedBy(inner)...)
		}
	case *parse.IfNode:
		branch(&n.BranchNode)
	case *parse.RangeNode:
		branch(&n.BranchNode)
	case *parse.WithNode:
		branch(&n.BranchNode)
	case *parse.TemplateNode:
		names = append(names, n.Name)
	}
	return names
}

// renderPage draws a page into a buffer. The page's template defines "main"
// and, where the layout's own shall not be used, "page".
func renderPage(name string, data any) ([]byte, error) {
	put, ok := pages[name]
	if !ok {
		return nil, fmt.Errorf("render page %s: no such template", name)
	}
	page, err := put()
	if err != nil {
		return nil, fmt.Errorf("render page %s: %w", name, err)
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
	httpx.Send(c, status, "text/html; charset=utf-8", body)
	return nil
}

// show sends a page with status 200.
func show(c *gin.Context, name string, data any) error {
	return send(c, http.StatusOK, name, data)
}
