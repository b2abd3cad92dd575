package trust

import (
	"crypto/ecdsa"
	"crypto/x509"
	"encoding/pem"
	"errors"
	"fmt"
	"os"

	"tracewright/server/files"
)

// errPair is returned for a file that does not hold one certificate and the key
// that belongs to it.
var errPair = errors.New("not a certificate with its key")

// readPair reads a certificate and its private key from one PEM file.
func readPair(file string) (pair, error) {
	raw, err := os.ReadFile(file)
	if err != nil {
		return pair{}, err
	}
	var p pair
	for block, rest := pem.Decode(raw); block != nil; block, rest = pem.Decode(rest) {
		switch block.Type {
		case "CERTIFICATE":
			if p.certificate, err = x509.ParseCertificate(block.Bytes); err != nil {
				return pair{}, fmt.Errorf("%s: %w: %w", file, errPair, err)
			}
		case "EC PRIVATE KEY":
			if p.key, err = x509.ParseECPrivateKey(block.Bytes); err != nil {
				return pair{}, fmt.Errorf("%s: %w: %w", file, errPair, err)
			}
		}
	}
	if p.certificate == nil || p.key == nil || !p.key.PublicKey.Equal(publicKey(p.certificate)) {
		return pair{}, fmt.Errorf("%s: %w", file, errPair)
	}
	return p, nil
}

func publicKey(c *x509.Certificate) *ecdsa.PublicKey {
	key, ok := c.PublicKey.(*ecdsa.PublicKey)
	if !ok {
		return nil
	}
	return key
}

// writePair keeps certificate and key in one file, readable by its owner alone,
// so that the two can never be of different age. The file is whole or not there.
func writePair(file string, p pair) error {
	secret, err := x509.MarshalECPrivateKey(p.key)
	if err != nil {
		return fmt.Errorf("encode a private key: %w", err)
	}
	raw := pem.EncodeToMemory(&pem.Block{Type: "EC PRIVATE KEY", Bytes: secret})
	raw = append(pem.EncodeToMemory(&pem.Block{Type: "CERTIFICATE", Bytes: p.certificate.Raw}), raw...)
	if err := files.Write(file, 0o600, raw); err != nil {
		return fmt.Errorf("keep a certificate: %w", err)
	}
	return nil
}
