package web

import (
	"errors"
	"fmt"
	"strconv"
	"strings"

	"github.com/gin-gonic/gin"

	"tracewright/models"
	"tracewright/models/work/access"
)

// Field is one question of a form, with what was answered and what is wrong
// with the answer.
type Field struct {
	Name     string // as it is sent, and as a problem names it
	ID       string // in the page; made from Name when empty
	Label    string
	Hint     string
	Kind     string // text (the default), password, number, date, select, radio, text area, check, file
	Unit     string // shown behind it
	Value    string
	Problem  string
	Width    string // of the form's twelve columns: w3, w4, w6, w8
	Mode     string // the keyboard a tablet shows: decimal, numeric
	Complete string // what a browser may fill in
	Mono     bool
	Focus    bool
	Optional bool
	Needed   string // when one that may be empty is needed: "with a cost"
	Choices  []Choice
	Under    map[string]string // of a radio: what stands beneath a choice, by its value
	Suggest  []string          // what a text may be, offered while it is typed
	Most     int               // how many characters a text may have; 0 where the answer says so
	Accept   string            // of a file: its types
	Camera   bool              // of a file: a phone takes a photo
}

// Choice is one line of a select.
type Choice struct{ Value, Text string }

// form joins a form's answers with the problems found in them.
type form struct {
	value    func(name string) string
	problems map[string]string // by field
	codes    map[string]string // of the problems, by field
	order    []string          // of the fields with a problem, as they were reported
	shown    map[string]bool
	loose    []string // problems of no field
}

// posted is the form that a request sent, with the error its service gave.
func posted(c *gin.Context, err error) *form { return newForm(c.PostForm, err) }

// filled is a form before it is sent, with values that stand already.
func filled(values map[string]string) *form {
	return newForm(func(name string) string { return values[name] }, nil)
}

func newForm(value func(string) string, err error) *form {
	f := &form{value: value, problems: map[string]string{}, codes: map[string]string{}, shown: map[string]bool{}}
	var invalid *models.InvalidError
	var refused *models.RefusedError
	var wait *access.WaitError
	switch {
	case errors.As(err, &invalid):
		for _, p := range invalid.Problems {
			if _, there := f.problems[p.Field]; !there {
				f.order, f.codes[p.Field] = append(f.order, p.Field), p.Code
				f.problems[p.Field] = english.Say(p.Code, english.Readable(p.Values))
				// Nothing was chosen: that it is no code is no help.
				if value(p.Field) == "" && strings.HasPrefix(p.Code, "unknown_") {
					f.problems[p.Field] = english.Say("missing", nil)
				}
			}
		}
	case errors.As(err, &refused):
		for _, r := range refused.Reasons {
			f.loose = append(f.loose, say(r))
		}
	case errors.As(err, &wait):
		f.loose = append(f.loose, say(wait.Remark()))
	case errors.Is(err, models.ErrStale):
		f.loose = append(f.loose, english.Say("stale", nil))
	}
	return f
}

// answerable says whether an error can be shown at the form it came from;
// every other error gets a page of its own.
func answerable(err error) bool {
	var invalid *models.InvalidError
	var refused *models.RefusedError
	var wait *access.WaitError
	return errors.As(err, &invalid) || errors.As(err, &refused) || errors.As(err, &wait) || errors.Is(err, models.ErrStale)
}

// asked says whether a form that came back needs a field which it does not always
// have: it is what is wrong, or was filled in already.
func (f *form) asked(name string) bool {
	return f.problems[name] != "" || len(f.problems)+len(f.loose) > 0 && f.value(name) != ""
}

// field completes a field: its id, its value, its problem.
func (f *form) field(x Field) Field {
	if x.ID == "" {
		x.ID = strings.NewReplacer("[", "-", "]", "", ".", "-", "_", "-").Replace(x.Name)
	}
	if x.Value == "" {
		x.Value = f.value(x.Name)
	}
	if x.Kind == "password" {
		x.Value = "" // A secret is never sent back.
	}
	f.shown[x.Name] = true
	x.Problem = f.problems[x.Name]
	return x
}

// Problems is what a form's head says: how many, and those that belong to no
// field of it. It is asked for after every field was made.
type Problems struct {
	Any     bool
	Nothing string // what did not happen; empty: nothing was saved
	Count   string
	Loose   []string
}

func (f *form) summary() Problems {
	p := Problems{Loose: f.loose}
	at := 0
	for _, name := range f.order {
		if f.shown[name] {
			at++
		} else {
			p.Loose = append(p.Loose, f.problems[name])
		}
	}
	p.Any = at+len(p.Loose) > 0
	switch {
	case at == 0:
		p.Count = "see why below"
	case at == 1:
		p.Count = "one answer needs a look, marked below"
	default:
		p.Count = fmt.Sprintf("%d answers need a look, marked below", at)
	}
	return p
}

// choices makes the lines of a select from codes and the words for them.
//
//go:noinline
func choices(codes []string, text func(string) string) []Choice {
	out := make([]Choice, len(codes))
	for i, code := range codes {
		out[i] = Choice{Value: code, Text: text(code)}
	}
	return out
}

// revisionFrom is the revision that a form was opened on; one that names none was opened
// on none that stands.
func revisionFrom(typed func(string) string) int {
	if n, err := strconv.Atoi(typed("from")); err == nil {
		return n
	}
	return -1
}
