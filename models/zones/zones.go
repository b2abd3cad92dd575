// Package zones finds time zones by their names in the tz database, also where
// the machine has no table of them.
package zones

import (
	"archive/zip"
	"bytes"
	"compress/gzip"
	_ "embed"
	"io"
	"io/fs"
	"sync"
	"time"
)

// The table is the one that comes with Go, compressed: time/tzdata holds the same
// as it lies there, four times as long. The data are in the public domain.
//
//go:generate sh -c "zopfli -c \"$(go env GOROOT)/lib/time/zoneinfo.zip\" > zoneinfo.zip.gz"
//go:embed zoneinfo.zip.gz
var packed []byte

var table = sync.OnceValues(func() (fs.FS, error) {
	unpacked, err := gzip.NewReader(bytes.NewReader(packed))
	if err != nil {
		return nil, err
	}
	raw, err := io.ReadAll(unpacked)
	if err != nil {
		return nil, err
	}
	return zip.NewReader(bytes.NewReader(raw), int64(len(raw)))
})

// Load finds a zone by its name, such as "Europe/Berlin": in the machine's table,
// which may be the newer one, or else in the program's own. Its errors are those of
// time.LoadLocation.
func Load(name string) (*time.Location, error) {
	zone, unknown := time.LoadLocation(name)
	if unknown == nil {
		return zone, nil
	}
	if own, err := load(name); err == nil {
		return own, nil
	}
	return nil, unknown
}

// load finds a zone in the program's own table.
func load(name string) (*time.Location, error) {
	files, err := table()
	if err != nil {
		return nil, err
	}
	data, err := fs.ReadFile(files, name)
	if err != nil {
		return nil, err
	}
	return time.LoadLocationFromTZData(name, data)
}
