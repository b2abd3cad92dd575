package web

import (
	"compress/gzip"
	"errors"
	"io"
	"net/http"
	"net/http/httptest"
	"strings"
	"testing"

	"github.com/gin-gonic/gin"

	"tracewright/models"
)

func askAsset(t *testing.T, hash, name, encoding string) (*httptest.ResponseRecorder, error) {
	t.Helper()
	gin.SetMode(gin.ReleaseMode)
	w := httptest.NewRecorder()
	c, _ := gin.CreateTestContext(w)
	c.Request = httptest.NewRequest(http.MethodGet, "/static/"+hash+"/"+name, nil)
	c.Request.Header.Set("Accept-Encoding", encoding)
	c.Params = gin.Params{{Key: "hash", Value: hash}, {Key: "name", Value: "/" + name}}
	return w, serveAsset(c)
}

func TestStaticFilesAreKeptForEverUnderTheirHashAlone(t *testing.T) {
	for _, tt := range []struct{ name, hash, cache string }{
		{"today's hash", assets.hash, "public, max-age=31536000, immutable"},
		{"the hash of an earlier program", "0123456789ab", "no-cache"},
	} {
		w, err := askAsset(t, tt.hash, "office.css", "")
		if err != nil {
			t.Fatal(err)
		}
		if got := w.Header().Get("Cache-Control"); got != tt.cache {
			t.Errorf("%s: Cache-Control %q, want %q", tt.name, got, tt.cache)
		}
		if got := w.Header().Get("Content-Type"); got != "text/css; charset=utf-8" {
			t.Errorf("%s: Content-Type %q", tt.name, got)
		}
	}
}

func TestStaticFilesAreCompressedWhereThatIsUnderstood(t *testing.T) {
	plain, err := askAsset(t, assets.hash, "office.css", "")
	if err != nil {
		t.Fatal(err)
	}
	zipped, err := askAsset(t, assets.hash, "office.css", "br, gzip")
	if err != nil {
		t.Fatal(err)
	}
	if zipped.Header().Get("Content-Encoding") != "gzip" || zipped.Header().Get("Vary") != "Accept-Encoding" {
		t.Errorf("headers %v, want gzip and Vary", zipped.Header())
	}
	if zipped.Body.Len() >= plain.Body.Len() {
		t.Errorf("%d bytes compressed, %d plain", zipped.Body.Len(), plain.Body.Len())
	}
	r, err := gzip.NewReader(zipped.Body)
	if err != nil {
		t.Fatal(err)
	}
	body, err := io.ReadAll(r)
	if err != nil || string(body) != plain.Body.String() {
		t.Errorf("the compressed file is another one (%v)", err)
	}
	font, err := askAsset(t, assets.hash, "fonts/TracewrightSans-Regular.woff2", "gzip")
	if err != nil || font.Header().Get("Content-Encoding") != "" {
		t.Errorf("a font is compressed already: %v, %v", font.Header(), err)
	}
}

// What is kept compressed is sent so under its own name and type, and unpacked to
// a browser that cannot do that itself.
func TestFilesKeptCompressedAreThoseOfTheirNames(t *testing.T) {
	for _, tt := range []struct{ name, mediaType, begins string }{
		{"vendor/echarts/echarts.common.min.js", "text/javascript; charset=utf-8", "\n/*\n* Licensed to the Apache Software Foundation"},
		{"vendor/zxing/zxing_reader.wasm", "application/wasm", "\x00asm\x01\x00\x00\x00"}, // WebAssembly's own first eight bytes
	} {
		zipped, err := askAsset(t, assets.hash, tt.name, "gzip")
		if err != nil {
			t.Fatal(err)
		}
		plain, err := askAsset(t, assets.hash, tt.name, "identity")
		if err != nil {
			t.Fatal(err)
		}
		if got := zipped.Header(); got.Get("Content-Encoding") != "gzip" || got.Get("Content-Type") != tt.mediaType {
			t.Errorf("%s: headers %v", tt.name, got)
		}
		if got := plain.Header(); got.Get("Content-Encoding") != "" || got.Get("Content-Type") != tt.mediaType {
			t.Errorf("%s: headers %v where nothing is said of gzip", tt.name, got)
		}
		if !strings.HasPrefix(plain.Body.String(), tt.begins) {
			t.Errorf("%s begins %.20q", tt.name, plain.Body)
		}
		r, err := gzip.NewReader(zipped.Body)
		if err != nil {
			t.Fatal(err)
		}
		if body, err := io.ReadAll(r); err != nil || string(body) != plain.Body.String() {
			t.Errorf("%s: the compressed file is another one (%v)", tt.name, err)
		}
		if _, err := askAsset(t, assets.hash, tt.name+".gz", "gzip"); !errors.Is(err, models.ErrNotFound) {
			t.Errorf("%s is also there as .gz: %v", tt.name, err)
		}
	}
}

func TestNoStaticFileOutsideTheEmbeddedOnes(t *testing.T) {
	for _, name := range []string{"nosuch.css", "../web.go", "", "fonts", "tests/bench.test.js", "package.json"} {
		if _, err := askAsset(t, assets.hash, name, ""); !errors.Is(err, models.ErrNotFound) {
			t.Errorf("%q: %v, want not found", name, err)
		}
	}
}

// Stylesheets name fonts and modules name modules by relative paths; each must
// be there under the same hash.
func TestStylesheetsNameFilesThatAreThere(t *testing.T) {
	found := 0
	for name, file := range assets.files {
		if !strings.HasSuffix(name, ".css") {
			continue
		}
		body, err := file.Plain()
		if err != nil {
			t.Fatal(err)
		}
		for _, part := range strings.Split(string(body), `url("`)[1:] {
			path, _, _ := strings.Cut(part, `"`)
			found++
			if assets.files[path] == nil {
				t.Errorf("%s names %s, which is not there", name, path)
			}
		}
	}
	if found < 3 {
		t.Errorf("%d files named, want the three fonts at least", found)
	}
}

// The licences of what is not ours go where it goes.
func TestLicencesAreServedBesideWhatTheyCover(t *testing.T) {
	for _, name := range []string{"fonts/OFL.txt", "vendor/echarts/LICENSE", "vendor/echarts/NOTICE", "vendor/zxing/LICENSE", "vendor/zxing/LICENSE-zxing-cpp", "vendor/zxing/NOTICE"} {
		w, err := askAsset(t, assets.hash, name, "")
		if err != nil || w.Body.Len() == 0 {
			t.Errorf("%s is not there (%v)", name, err)
		}
	}
}
