package web

import (
	"encoding/json"
	"fmt"
	"net/http"
	"path"
	"slices"
	"strings"

	"github.com/gin-gonic/gin"

	"tracewright/models"
	"tracewright/server/httpx"
)

const floorWorkerModule = "floor-worker.js"

// floorWorker sends the service worker of the floor pages. It stands outside
// the hashed folder, because a browser looks for a newer one at the same
// address; the hash of the static files is its version.
func floorWorker(c *gin.Context) error {
	script, err := floorWorkerScript()
	if err != nil {
		return err
	}
	c.Header("Cache-Control", "no-cache")
	httpx.Send(c, http.StatusOK, mediaType(floorWorkerModule), script)
	return nil
}

// floorWorkerScript is the worker's text behind its version and its files.
func floorWorkerScript() ([]byte, error) {
	module, ok := assets.files[floorWorkerModule]
	if !ok {
		return nil, fmt.Errorf("static file %s: %w", floorWorkerModule, models.ErrNotFound)
	}
	body, err := module.Plain()
	if err != nil {
		return nil, err
	}
	files, err := json.Marshal(floorFiles())
	if err != nil {
		return nil, fmt.Errorf("list the files of the floor pages: %w", err)
	}
	return fmt.Appendf(nil, "const VERSION = %q;\nconst FILES = %s;\n%s", assets.hash, files, body), nil
}

// floorFiles are the names that the floor pages load: their styles, modules
// and fonts, and the decoder of the camera.
func floorFiles() []string {
	var names []string
	for name := range assets.files {
		base := path.Base(name)
		module := path.Ext(name) == ".js" && !strings.Contains(name, "/") && base != floorWorkerModule &&
			slices.ContainsFunc([]string{"floor-", "stand", "bench", "blocks-"}, func(head string) bool { return strings.HasPrefix(base, head) })
		style := slices.Contains([]string{"tokens.css", "floor.css", "icon.svg"}, name)
		font := path.Ext(name) == ".woff2"
		decoder := strings.HasPrefix(name, "vendor/zxing/") && slices.Contains([]string{".js", ".wasm"}, path.Ext(name))
		if module || style || font || decoder {
			names = append(names, name)
		}
	}
	slices.Sort(names)
	return names
}
