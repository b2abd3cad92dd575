package main

type exportCommand struct {
	Certificates exportCertificates `cmd:"" help:"Write the public pages of certificates as files of a web space."`
}
