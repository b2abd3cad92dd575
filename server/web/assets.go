package web

import (
	"crypto/sha256"
	"embed"
	"encoding/hex"
	"fmt"
	"io/fs"
	"mime"
	"path"
	"strings"

	"github.com/gin-gonic/gin"

	"tracewright/models"
	"tracewright/server/httpx"
)

// shrunk are the static files that do not shrink in a pack: fonts, and large files of
// others, kept as they are sent, made by gzip -9n.
//
//go:embed static/fonts static/vendor
var shrunk embed.FS

// assets are the static files, packed and not, under one hashed folder.
//
// The hash covers every name and every byte, so any change gives every file a
// new address: stylesheets and modules may name one another by relative paths,
// and every answer may be cached for ever.
var assets = mustReadAssets(packedFiles, shrunk)

type assetSet struct {
	hash  string
	files map[string]*httpx.Document
}

func mustReadAssets(from ...fs.FS) *assetSet {
	set, err := readAssets(from)
	if err != nil {
		panic(err)
	}
	return set
}

func readAssets(from []fs.FS) (*assetSet, error) {
	set := &assetSet{files: map[string]*httpx.Document{}}
	sum := sha256.New()
	for _, files := range from {
		err := fs.WalkDir(files, "static", func(name string, entry fs.DirEntry, err error) error {
			if err != nil || entry.IsDir() {
				return err
			}
			body, err := fs.ReadFile(files, name)
			if err != nil {
				return err
			}
			short, zipped := strings.CutSuffix(strings.TrimPrefix(name, "static/"), ".gz")
			kind := mediaType(short)
			if zipped {
				set.files[short] = httpx.KeptZipped(body, kind)
			} else {
				set.files[short] = httpx.AsIs(body, kind)
			}
			fmt.Fprintf(sum, "%s\n%d\n", short, len(body))
			sum.Write(body)
			return nil
		})
		if err != nil {
			return nil, fmt.Errorf("read static files: %w", err)
		}
	}
	set.hash = hex.EncodeToString(sum.Sum(nil))[:12]
	return set, nil
}

// mediaType does not ask the machine's own table first: that one differs from
// machine to machine, and a module is refused under a wrong type.
func mediaType(name string) string {
	switch path.Ext(name) {
	case ".css":
		return "text/css; charset=utf-8"
	case ".js", ".mjs":
		return "text/javascript; charset=utf-8"
	case ".svg":
		return "image/svg+xml"
	case ".woff2":
		return "font/woff2"
	case ".wasm":
		return "application/wasm"
	case ".png":
		return "image/png"
	case ".webmanifest":
		return "application/manifest+json"
	case ".txt", "":
		return "text/plain; charset=utf-8"
	}
	if t := mime.TypeByExtension(path.Ext(name)); t != "" {
		return t
	}
	return "application/octet-stream"
}

// assetPath is the address of a static file: "/static/3f9a…/office.css".
// A name that is not there is an error, so that the render test finds it.
func assetPath(name string) (string, error) {
	if _, ok := assets.files[name]; !ok {
		return "", fmt.Errorf("static file %q does not exist", name)
	}
	return "/static/" + assets.hash + "/" + name, nil
}

// serveAsset sends a static file. An old hash (a page from before an upgrade)
// gets today's file, not to be kept.
func serveAsset(c *gin.Context) error {
	file, ok := assets.files[strings.TrimPrefix(c.Param("name"), "/")]
	if !ok {
		return fmt.Errorf("static file %s: %w", c.Param("name"), models.ErrNotFound)
	}
	if c.Param("hash") == assets.hash {
		c.Header("Cache-Control", "public, max-age=31536000, immutable")
	} else {
		c.Header("Cache-Control", "no-cache")
	}
	return file.Send(c)
}
