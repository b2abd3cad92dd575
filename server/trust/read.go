package trust

import (
	"crypto/x509"
	"path/filepath"
)

// Names of files in the folder of a local authority.
const (
	authorityFile = "authority.pem"
	ServerFile    = "server.pem" // the certificate that the server shows, with its key
)

// Read gives the certificates of a local authority's folder, and makes none.
func Read(folder string) (server, authority *x509.Certificate, err error) {
	own, err := readPair(filepath.Join(folder, ServerFile))
	if err != nil {
		return nil, nil, err
	}
	its, err := readPair(filepath.Join(folder, authorityFile))
	if err != nil {
		return nil, nil, err
	}
	return own.certificate, its.certificate, nil
}
