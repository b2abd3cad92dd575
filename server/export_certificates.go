package main

import (
	"context"
	"fmt"
	"time"

	"tracewright/models/work/lookup"
	"tracewright/models/work/shop"
	"tracewright/server/public"
)

type exportCertificates struct {
	databaseFlag
	Folder string `help:"Where the files are written; made where it is missing." placeholder:"FOLDER" type:"path" required:"" env:"-"`
}

// Help tells what to do with the files.
func (exportCertificates) Help() string {
	return `For a shop that has a web space and no computer that strangers may reach. Put the folder at the public address that the page "The shop" names, and export again whenever a certificate was issued, superseded or voided, or once a day: each page says as of when its state is. What did not change since an export of the same day is not written again, and nothing is removed.

The names of the folders are the secrets on the papers: the web space must list no folder.

  tracewright export certificates --database sqlite:/srv/tracewright/shop.db --folder /srv/www/certificates`
}

// Run writes the files and says how many.
func (e *exportCertificates) Run(ctx context.Context, std streams) error {
	s, err := e.existing(ctx)
	if err != nil {
		return err
	}
	defer s.Close()
	if err := broughtUp(ctx, s); err != nil {
		return err
	}
	certificates := lookup.New(s, time.Now, shop.New(s, time.Now).Zone)
	asked, err := certificates.Shop(ctx)
	if err != nil {
		return err
	}
	if asked.Public == "" {
		fmt.Fprintln(std.err, "tracewright: the shop has no public address; certificates issued without one carry none and have no page")
	}
	done, err := public.Export(ctx, certificates, e.Folder)
	if err != nil {
		return fmt.Errorf("export certificates: %w", err)
	}
	fmt.Fprintf(std.out, "%s in %s, %s written\n", counted(done.Certificates, "certificate"), e.Folder, counted(done.Written, "file"))
	return nil
}

// counted is how many there are of a thing whose name takes an s.
func counted(n int, thing string) string {
	if n != 1 {
		thing += "s"
	}
	return fmt.Sprintf("%d %s", n, thing)
}
