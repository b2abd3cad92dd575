package main

import (
	"os"
	"path/filepath"
	"regexp"
	"strings"
	"testing"

	"tracewright/models"
	"tracewright/models/words"
)

// noteGiven finds the notes that entries of the log are made with.
var noteGiven = regexp.MustCompile(`(?:enter|enterStored\[[\w.]+\]|DropSecondSecret|setSecret)\(.*?"([a-z]+_?[a-z_]*)"`)

// Every note of an entry has words: on the page of changes it stands under Why.
func TestEveryNoteOfAnEntryHasWords(t *testing.T) {
	found := map[string]bool{models.NoteErased: true, models.NoteAdopted: true, "first_owner": true}
	for _, folder := range []string{"../models/store", "../models/work/access"} {
		files, err := filepath.Glob(filepath.Join(folder, "*.go"))
		if err != nil {
			t.Fatal(err)
		}
		for _, file := range files {
			if strings.HasSuffix(file, "_test.go") {
				continue
			}
			raw, err := os.ReadFile(file)
			if err != nil {
				t.Fatal(err)
			}
			for _, m := range noteGiven.FindAllStringSubmatch(string(raw), -1) {
				found[m[1]] = true
			}
		}
	}
	if len(found) < 14 { // as many as there were when this was written
		t.Errorf("only %d notes are found: %v", len(found), found)
	}
	for note := range found {
		if says := words.In("en").ChangeNote(note); says == "" || strings.ContainsAny(says, "[]") {
			t.Errorf("the note %q has no words: %q", note, says)
		}
	}
}
