package main

import (
	"bufio"
	"context"
	"fmt"

	"tracewright/models"
	"tracewright/models/sheet"
	"tracewright/models/work/lists"
)

type exportList struct {
	databaseFlag
	asFlag
	Kind       string `arg:"" help:"Which list."`
	Semicolons bool   `help:"Semicolons between cells and decimal commas, for a spreadsheet that is set so."`
	Names      bool   `help:"Shipments with the names of customers."`
	Reason     string `help:"Why customers are looked at, where the shop asks."`
}

// Help tells whose look a list of customers is.
func (exportList) Help() string {
	return `The list goes to standard output. A list of customers, or one of shipments with their names, is a look at each of them, which is recorded: --as says whose.`
}

// Run writes the list.
func (e *exportList) Run(ctx context.Context, std streams) error {
	return e.withLists(ctx, e.databaseFlag, func(service *lists.Service, actor models.Actor) error {
		kind, ok := lists.Named(e.Kind)
		switch {
		case !ok:
			return &exitError{2, "tracewright: there is no list of " + e.Kind}
		case (kind.Personal || e.Names && kind.Names) && !actor.May(models.ActCustomers):
			return &exitError{2, "tracewright: --as: name somebody who may see customers"}
		case e.As != "" && !actor.May(kind.Out):
			return &exitError{2, fmt.Sprintf("tracewright: %s may not see %s", actor.Name, e.Kind)}
		}
		ask := lists.Ask{Form: sheet.Commas, Names: e.Names, Reason: e.Reason}
		if e.Semicolons {
			ask.Form = sheet.Semicolons
		}
		out := bufio.NewWriter(std.out)
		if err := service.Write(ctx, actor, kind.Name, ask, out); err != nil {
			return err
		}
		return out.Flush()
	})
}
