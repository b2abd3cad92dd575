package main

import (
	"context"
	"fmt"
	"io"
	"time"

	"tracewright/models"
	"tracewright/models/words"
	"tracewright/models/work/receive"
	"tracewright/server/app"
)

// tour prints where the shop answers and what to look at first.
func tour(ctx context.Context, out io.Writer, a *app.App, made demoShop, address string) error {
	stops, err := tourStops(ctx, a)
	if err != nil {
		return fmt.Errorf("look for things to show: %w", err)
	}
	owner, err := a.Services.Access.Person(ctx, made.Owner)
	if err != nil {
		return fmt.Errorf("find the owner of the invented shop: %w", err)
	}
	fmt.Fprintf(out, `
Tracewright answers at %s

  An invented workshop: %d wheels, %d packs, %d certificates. You are %s, its owner.
  A release or a void asks for the password: %s
  (Other logins have the same one; at an enrolled tablet everybody's PIN is %s.)

A tour:
`, address, made.Wheels, made.Packs, made.Certificates, owner.Name, demoPassword, demoPIN)
	for i, s := range stops {
		fmt.Fprintf(out, "  %d. %s\n     %s%s\n", i+1, s.says, address, s.path)
	}
	if made.old(time.Now()) {
		fmt.Fprintf(out, "\nIts last working day lies before %s; --fresh makes one that ends now.\n", made.MadeAt.Format("2 January 2006"))
	}
	fmt.Fprintln(out, "\nWhat you change is kept. --fresh starts over. Ctrl-C stops.")
	return nil
}

type tourStop struct{ says, path string }

// tourStops are found in the shop as it is, so that each leads somewhere.
func tourStops(ctx context.Context, a *app.App) ([]tourStop, error) {
	today, err := a.Services.Monitor.Today(ctx)
	if err != nil {
		return nil, err
	}
	stops := []tourStop{{"Today: what waits for somebody.", "/"}}
	rolls, err := a.Services.Receive.Rolls(ctx)
	if err != nil {
		return nil, err
	}
	for _, r := range rolls {
		if serials := receive.Serials(r); r.Letter == "W" && len(serials) > 0 {
			stops = append(stops, tourStop{fmt.Sprintf("Record a wheel under a fresh label, %s.", serials[0]), "/stand"})
			break
		}
	}
	stops = append(stops, tourStop{"Record a pack.", "/bench"}, tourStop{"See which lot of blocks loses charge, and match the others into packs.", "/blocks"})
	if serial := newest(today.Recent, models.KindWheel); serial != "" {
		stops = append(stops, tourStop{fmt.Sprintf("Find a wheel by its serial, %s, or its last five characters; release it, open its certificate.", words.Serial(serial)), "/items/" + serial})
	}
	return append(stops, tourStop{"Pack a kit and ship it.", "/kits"}, tourStop{"Answer a claim, and see what else came back like it.", "/claims"},
		tourStop{"Ask what needs somebody, what differs and what comes back: the owner’s questions.", "/attention"}, tourStop{"Change what is measured, and the limits.", "/families"},
		tourStop{"See what a gauge had measured before it was found out of tolerance.", "/instruments"}, tourStop{"See who changed what, and how the log is sealed.", "/changes"}), nil
}

// newest is the serial of the last item of a kind that passed.
func newest(recent []models.RecentInspection, kind string) string {
	for _, r := range recent {
		if r.Kind == kind && r.Verdict == models.VerdictPass {
			return r.Serial
		}
	}
	return ""
}
