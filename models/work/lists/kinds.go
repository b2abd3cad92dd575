package lists

import (
	"context"

	"tracewright/models"
	"tracewright/models/sheet"
)

// Column is one column of a list, in and out.
type Column struct {
	Name    string   // its heading
	Also    []string // other headings that mean it
	Field   string   // what the record's own check calls it, where that is not its name
	Needed  bool     // no row is without it
	Lines   bool     // may hold line breaks
	Follows bool     // written out only: it follows from the record
	Example string
}

// Kind is a kind of list.
type Kind struct {
	Name     string     // as addresses and commands have it
	In       models.Act // needed to take one in; empty: it is only written out
	Out      models.Act // needed to write one out
	Personal bool       // what stands in it is told to nobody beside the list itself
	Names    bool       // may have customers by their names, where that is asked for
	Columns  []Column

	plan  func(context.Context, *Service, *list) (keep, error)
	write func(context.Context, *Service, *output) error
}

// keep stores what a list brings, in one transaction.
type keep func(context.Context) error

// catalogue is every kind of list; adding one is one file and one word here.
var catalogue = []Kind{lots, items, builds, customers, results, shipments}

// Kinds lists them in the order that people are shown.
func Kinds() []Kind { return catalogue }

// Named finds one by its name.
func Named(name string) (Kind, bool) {
	for _, k := range catalogue {
		if k.Name == name {
			return k, true
		}
	}
	return Kind{}, false
}

// Headings are the names of the columns.
func (k Kind) Headings() []string {
	out := make([]string, len(k.Columns))
	for i, c := range k.Columns {
		out[i] = c.Name
	}
	return out
}

// Example writes a list of the kind with its headings and one row, to be filled in.
func (k Kind) Example(w *sheet.Writer) error {
	var names, row []string
	for _, c := range k.Columns {
		if !c.Follows {
			names, row = append(names, c.Name), append(row, c.Example)
		}
	}
	if err := w.Row(names...); err != nil {
		return err
	}
	if err := w.Row(row...); err != nil {
		return err
	}
	return w.Flush()
}

// column is the one that a heading means, nil for none.
func (k Kind) column(heading string) *Column {
	folded := sheet.Fold(heading)
	for i, c := range k.Columns {
		if sheet.Fold(c.Name) == folded {
			return &k.Columns[i]
		}
		for _, also := range c.Also {
			if sheet.Fold(also) == folded {
				return &k.Columns[i]
			}
		}
	}
	return nil
}

// called is the heading of a field as the record's own check names it.
func (k Kind) called(field string) string {
	for _, c := range k.Columns {
		if c.Field == field {
			return c.Name
		}
	}
	return field
}
