//go:build ignore

// Packs the folders beside it into one file, the same from the same files whenever and
// wherever it is run.
package main

import (
	"archive/zip"
	"compress/flate"
	"io"
	"log"
	"os"
	"path/filepath"
)

func main() {
	out, err := os.Create("migrations.zip")
	if err != nil {
		log.Fatal(err)
	}
	packed := zip.NewWriter(out)
	packed.RegisterCompressor(zip.Deflate, func(w io.Writer) (io.WriteCloser, error) { return flate.NewWriter(w, flate.BestCompression) })
	files, err := filepath.Glob("*/*.sql")
	if err != nil {
		log.Fatal(err)
	}
	for _, file := range files {
		raw, err := os.ReadFile(file)
		if err != nil {
			log.Fatal(err)
		}
		w, err := packed.CreateHeader(&zip.FileHeader{Name: filepath.ToSlash(file), Method: zip.Deflate})
		if err == nil {
			_, err = w.Write(raw)
		}
		if err != nil {
			log.Fatal(err)
		}
	}
	if err := packed.Close(); err != nil {
		log.Fatal(err)
	}
	if err := out.Close(); err != nil {
		log.Fatal(err)
	}
}
