package trust

import (
	"crypto/x509"
	"os"
	"path/filepath"
	"strings"
)

// Names of files in the folder of a local authority.
const (
	authorityFile = "authority.pem" // the one that was made first
	besideFirst   = "authority-"    // begins those that stand in for it
	ServerFile    = "server.pem"    // the certificate that the server shows, with its key
)

// Read gives the certificates of a local authority's folder, and makes none: what the
// server shows, and the authority that signed it, or else the first.
func Read(folder string) (server, authority *x509.Certificate, err error) {
	own, err := readPair(filepath.Join(folder, ServerFile))
	if err != nil {
		return nil, nil, err
	}
	first, err := readPair(filepath.Join(folder, authorityFile))
	if err != nil {
		return nil, nil, err
	}
	entries, err := os.ReadDir(folder)
	for _, e := range entries {
		if !strings.HasPrefix(e.Name(), besideFirst) {
			continue
		}
		if p, err := readPair(filepath.Join(folder, e.Name())); err == nil && own.certificate.CheckSignatureFrom(p.certificate) == nil {
			return own.certificate, p.certificate, nil
		}
	}
	return own.certificate, first.certificate, err
}
