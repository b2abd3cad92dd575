package public

import (
	"bytes"
	"context"
	"errors"
	"fmt"
	"io/fs"
	"os"
	"path/filepath"
	"regexp"

	"tracewright/models"
	"tracewright/models/work/lookup"
)

// Exported says what came of an export.
type Exported struct {
	Certificates int
	Written      int // files, of certificates and beside them
}

// Export writes the page of every certificate that has a token, and what stands
// beside them, as files of a web space: TOKEN/index.html, index.html, 404.html
// and robots.txt. Each file is whole or not there. One that says the same as it
// did, of the same day, is left alone; nothing is ever removed.
func Export(ctx context.Context, certificates *lookup.Service, folder string) (Exported, error) {
	var done Exported
	if err := oursAlone(folder); err != nil {
		return done, err
	}
	shop, err := certificates.Shop(ctx)
	if err != nil {
		return done, err
	}
	for _, beside := range []struct {
		name string
		page page
	}{{"index.html", askPage(shop, "")}, {"404.html", missingPage(shop, "")}} {
		if err := done.page(folder, beside.name, beside.page); err != nil {
			return done, err
		}
	}
	if err := done.file(folder, "robots.txt", []byte(robots)); err != nil {
		return done, err
	}
	err = certificates.Each(ctx, func(c lookup.Certificate) error {
		done.Certificates++
		return done.page(filepath.Join(folder, c.Token), "index.html", pageOf(c))
	})
	return done, err
}

// ourPage is how each page begins that this program makes, of any version.
var ourPage = regexp.MustCompile(`(?s)^<!doctype html>.{0,300}<meta http-equiv="Content-Security-Policy" content="default-src [^"]*sha256-.{0,300}<meta name="robots" content="noindex,nofollow">`)

// oursAlone refuses a folder, before anything is written, where another's page would be
// written over: that of a web space whose site has one of its own.
func oursAlone(folder string) error {
	for _, name := range []string{"index.html", "404.html", "robots.txt"} {
		path := filepath.Join(folder, name)
		there, err := os.ReadFile(path)
		if errors.Is(err, fs.ErrNotExist) {
			continue
		}
		if err != nil {
			return fmt.Errorf("read what was exported before: %w", err)
		}
		if string(there) != robots && !ourPage.Match(there) {
			return &models.RefusedError{Reasons: []models.Remark{models.NewRemark("export_not_ours", "file", path)}}
		}
	}
	return nil
}

func (e *Exported) page(folder, name string, p page) error {
	content, err := p.render()
	if err != nil {
		return err
	}
	return e.file(folder, name, content)
}

// asOfMoment is where a page says as of when; its first group is the day.
var asOfMoment = regexp.MustCompile(`<time datetime="([0-9-]+)[^"]*">[^<]*</time>`)

// sameDay leaves of the moment of a page its day.
func sameDay(content []byte) []byte { return asOfMoment.ReplaceAll(content, []byte("<time>$1</time>")) }

// file writes one whole, under another name first; a name that a visitor of the
// web space may not read would be of no use.
func (e *Exported) file(folder, name string, content []byte) error {
	path := filepath.Join(folder, name)
	there, err := os.ReadFile(path)
	switch {
	case err == nil && bytes.Equal(sameDay(there), sameDay(content)):
		return nil
	case err != nil && !errors.Is(err, fs.ErrNotExist):
		return fmt.Errorf("read what was exported before: %w", err)
	}
	if err := os.MkdirAll(folder, 0o755); err != nil {
		return fmt.Errorf("make a folder: %w", err)
	}
	temporary, err := os.CreateTemp(folder, ".new-*")
	if err != nil {
		return fmt.Errorf("write a page: %w", err)
	}
	defer os.Remove(temporary.Name()) // gone already when all went well
	_, err = temporary.Write(content)
	if err == nil {
		err = temporary.Chmod(0o644)
	}
	if closing := temporary.Close(); err == nil {
		err = closing
	}
	if err == nil {
		err = os.Rename(temporary.Name(), path)
	}
	if err != nil {
		return fmt.Errorf("write %s: %w", path, err)
	}
	e.Written++
	return nil
}
