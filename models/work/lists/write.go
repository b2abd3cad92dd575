package lists

import (
	"context"
	"fmt"
	"io"
	"time"

	"tracewright/models"
	"tracewright/models/sheet"
	"tracewright/models/trade/ident"
)

// page is how many records are asked for at once: a list may be longer than what
// fits into memory, and whoever reads it slowly holds no connection.
const page = 500

// Ask is how a list is written out.
type Ask struct {
	Form   sheet.Form
	Names  bool   // where the kind has them: customers by name, each of whom is looked up
	Reason string // why customers are looked at, where the shop asks
}

// output is a list on its way out.
type output struct {
	*sheet.Writer
	ask   Ask
	actor models.Actor
	stamp models.Stamp
	zone  *time.Location
	names map[string]string // of people, where they may be told
}

// Write writes a list out. Errors: an InvalidError where a reason is missing,
// before anything is written; models.ErrForbidden.
func (s *Service) Write(ctx context.Context, actor models.Actor, name string, ask Ask, to io.Writer) error {
	kind, ok := Named(name)
	if !ok {
		return fmt.Errorf("lists of %.40q: %w", name, models.ErrNotFound)
	}
	ask.Names = ask.Names && kind.Names
	o := &output{Writer: sheet.NewWriter(to, ask.Form), ask: ask, actor: actor, stamp: models.NewStamp(actor, s.now()), zone: s.zone(ctx)}
	if kind.Personal || ask.Names {
		if err := s.checks.Reason(ctx, ask.Reason); err != nil {
			return err
		}
	}
	if actor.May(models.ActManagePeople) {
		people, err := s.store.People(ctx)
		if err != nil {
			return fmt.Errorf("names of people: %w", err)
		}
		o.names = models.NamesOf(people)
	}
	if err := o.Row(kind.Headings()...); err != nil {
		return err
	}
	if err := kind.write(ctx, s, o); err != nil {
		return fmt.Errorf("write a list of %s: %w", name, err)
	}
	return o.Flush()
}

// pages asks for one page of records after another and writes each record; write
// gives its key.
func pages[T any](ctx context.Context, next func(ctx context.Context, after string, most int) ([]T, error), write func(T) (key string, err error)) error {
	for after := ""; ; {
		list, err := next(ctx, after, page)
		if err != nil {
			return err
		}
		for _, x := range list {
			if after, err = write(x); err != nil {
				return err
			}
		}
		if len(list) < page {
			return nil
		}
	}
}

// printed is a serial as it is printed, and a maker's number as it is, however much
// it looks like one.
func printed(name string) string {
	if serial, err := ident.Normalise(name); err != nil || serial != name {
		return name
	}
	return ident.Print(name)
}

// day is a day of the shop's calendar, "" for none.
func (o *output) day(t time.Time) string {
	if t.IsZero() {
		return ""
	}
	return t.In(o.zone).Format(time.DateOnly)
}
