package web

import (
	"archive/zip"
	"bytes"
	_ "embed"
	"io/fs"
)

// The program holds templates, styles and modules packed: as they stand they are three
// times as long. The tests of the modules stay outside.
//
//go:generate go run ../../migrations/pack.go web.zip templates/*.html static/*.css static/*.js static/*.svg
//go:embed web.zip
var webZip []byte

// packedFiles holds templates/name.html and static/name, which is unpacked as it is read.
var packedFiles fs.FS = opened()

func opened() fs.FS {
	in, err := zip.NewReader(bytes.NewReader(webZip), int64(len(webZip)))
	if err != nil {
		panic("the files of pages are not those that were packed: " + err.Error())
	}
	return in
}
