package main

type exportCommand struct {
	List         exportList         `cmd:"" help:"Write a list as CSV: lots, items, build-records, results, shipments or customers."`
	Trail        exportTrail        `cmd:"" help:"Write the sealed log of changes as JSON lines."`
	Certificates exportCertificates `cmd:"" help:"Write the public pages of certificates as files of a web space."`
}
