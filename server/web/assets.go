package web

import (
	"bytes"
	"compress/gzip"
	"crypto/sha256"
	"embed"
	"encoding/hex"
	"fmt"
	"io"
	"io/fs"
	"mime"
	"net/http"
	"path"
	"strings"
	"sync"

	"github.com/gin-gonic/gin"

	"tracewright/models"
	"tracewright/server/httpx"
)

// staticFiles are what pages ask for; the tests of the modules stay outside. Large
// files of others are kept as they are sent, made by gzip -9n.
//
//go:embed static/*.css static/*.js static/*.svg static/fonts static/vendor
var staticFiles embed.FS

// assets are the embedded static files under one hashed folder.
//
// The hash covers every name and every byte, so any change gives every file a
// new address: stylesheets and modules may name one another by relative paths,
// and every answer may be cached for ever.
var assets = mustReadAssets(staticFiles)

type assetSet struct {
	hash  string
	files map[string]*asset
}

type asset struct {
	mediaType string
	plain     func() ([]byte, error)
	zipped    func() []byte // nil when the file does not shrink
}

// asIs is a file that is kept as it is, and compressed when somebody first asks
// for that.
func asIs(body []byte, mediaType string) *asset {
	return &asset{
		mediaType: mediaType,
		plain:     func() ([]byte, error) { return body, nil },
		zipped:    sync.OnceValue(func() []byte { return compressed(body, mediaType) }),
	}
}

// keptZipped is a file that is kept compressed, and unpacked when a browser first
// asks that cannot do so itself.
func keptZipped(zipped []byte, mediaType string) *asset {
	return &asset{
		mediaType: mediaType,
		plain: sync.OnceValues(func() ([]byte, error) {
			r, err := gzip.NewReader(bytes.NewReader(zipped))
			if err != nil {
				return nil, fmt.Errorf("unpack a static file: %w", err)
			}
			body, err := io.ReadAll(r)
			if err != nil {
				return nil, fmt.Errorf("unpack a static file: %w", err)
			}
			return body, nil
		}),
		zipped: func() []byte { return zipped },
	}
}

func mustReadAssets(files fs.FS) *assetSet {
	set, err := readAssets(files)
	if err != nil {
		panic(err)
	}
	return set
}

func readAssets(files fs.FS) (*assetSet, error) {
	set := &assetSet{files: map[string]*asset{}}
	sum := sha256.New()
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
			set.files[short] = keptZipped(body, kind)
		} else {
			set.files[short] = asIs(body, kind)
		}
		fmt.Fprintf(sum, "%s\n%d\n", short, len(body))
		sum.Write(body)
		return nil
	})
	if err != nil {
		return nil, fmt.Errorf("read static files: %w", err)
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

// compressed is the gzip form; nil where there is none that is smaller.
func compressed(body []byte, mediaType string) []byte {
	switch {
	case strings.HasPrefix(mediaType, "text/"), mediaType == "image/svg+xml", mediaType == "application/manifest+json", mediaType == "application/wasm":
	default:
		return nil
	}
	var out bytes.Buffer
	w, err := gzip.NewWriterLevel(&out, gzip.BestCompression)
	if err != nil {
		return nil
	}
	if _, err := w.Write(body); err != nil {
		return nil
	}
	if err := w.Close(); err != nil || out.Len() >= len(body) {
		return nil
	}
	return out.Bytes()
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
	c.Header("Vary", "Accept-Encoding")
	if strings.Contains(c.GetHeader("Accept-Encoding"), "gzip") {
		if zipped := file.zipped(); zipped != nil {
			c.Header("Content-Encoding", "gzip")
			httpx.Send(c, http.StatusOK, file.mediaType, zipped)
			return nil
		}
	}
	body, err := file.plain()
	if err != nil {
		return err
	}
	httpx.Send(c, http.StatusOK, file.mediaType, body)
	return nil
}
