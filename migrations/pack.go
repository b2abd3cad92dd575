//go:build ignore

// Packs into the file that is named first what the patterns after it find, the same from
// the same files whenever and wherever it is run.
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
	out, err := os.Create(os.Args[1])
	if err != nil {
		log.Fatal(err)
	}
	packed := zip.NewWriter(out)
	packed.RegisterCompressor(zip.Deflate, func(w io.Writer) (io.WriteCloser, error) { return flate.NewWriter(w, flate.BestCompression) })
	var files []string
	for _, pattern := range os.Args[2:] {
		found, err := filepath.Glob(pattern)
		if err != nil || len(found) == 0 {
			log.Fatalf("%s: %d files, %v", pattern, len(found), err)
		}
		files = append(files, found...)
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
