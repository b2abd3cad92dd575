package trust

import (
	"crypto/ecdsa"
	"crypto/elliptic"
	"crypto/rand"
	"crypto/sha256"
	"crypto/x509"
	"crypto/x509/pkix"
	"errors"
	"fmt"
	"math/big"
	"net"
	"os"
	"strings"
	"time"
)

const (
	authorityYears = 10
	// backdated lets a tablet whose clock is slow accept what was made just now.
	backdated = time.Hour
)

// pair is a certificate with its private key.
type pair struct {
	certificate *x509.Certificate
	key         *ecdsa.PrivateKey
}

// privateRanges are the addresses a workshop's network uses, which lead nowhere
// outside it: RFC 1918, loopback and link-local of RFC 6890, RFC 4193 and 4291.
var privateRanges = []string{"10.0.0.0/8", "172.16.0.0/12", "192.168.0.0/16", "127.0.0.0/8", "169.254.0.0/16", "fc00::/7", "fe80::/10", "::1/128"}

// newAuthority makes an authority that may vouch for these names and addresses,
// and for private addresses, which change.
func newAuthority(now time.Time, names subjects) (pair, error) {
	key, err := ecdsa.GenerateKey(elliptic.P256(), rand.Reader)
	if err != nil {
		return pair{}, fmt.Errorf("make the authority's key: %w", err)
	}
	serial, err := serialNumber()
	if err != nil {
		return pair{}, err
	}
	template := &x509.Certificate{
		SerialNumber: serial,
		// The day tells two authorities of one host apart in a tablet's list.
		Subject:   pkix.Name{CommonName: fmt.Sprintf("Tracewright on %s, %s", names.host, now.UTC().Format(time.DateOnly)), Organization: []string{"Tracewright local authority"}},
		NotBefore: now.Add(-backdated).UTC(), NotAfter: now.AddDate(authorityYears, 0, 0).UTC(),
		IsCA: true, BasicConstraintsValid: true, MaxPathLen: 0, MaxPathLenZero: true,
		KeyUsage: x509.KeyUsageCertSign, ExtKeyUsage: []x509.ExtKeyUsage{x509.ExtKeyUsageServerAuth},
		PermittedDNSDomainsCritical: true, PermittedDNSDomains: names.domains(), PermittedIPRanges: names.ranges(),
	}
	return sign(template, nil, key)
}

// sign makes a certificate under an authority, or under itself where there is
// none.
func sign(template *x509.Certificate, by *pair, key *ecdsa.PrivateKey) (pair, error) {
	parent, signer := template, key
	if by != nil {
		parent, signer = by.certificate, by.key
	}
	der, err := x509.CreateCertificate(rand.Reader, template, parent, &key.PublicKey, signer)
	if err != nil {
		return pair{}, fmt.Errorf("sign a certificate: %w", err)
	}
	certificate, err := x509.ParseCertificate(der)
	if err != nil {
		return pair{}, fmt.Errorf("read the certificate just signed: %w", err)
	}
	return pair{certificate, key}, nil
}

// serialNumber is 127 random bits: positive, and never twice (RFC 5280, 4.1.2.2).
func serialNumber() (*big.Int, error) {
	n, err := rand.Int(rand.Reader, new(big.Int).Lsh(big.NewInt(1), 127))
	if err != nil {
		return nil, fmt.Errorf("draw a serial number: %w", err)
	}
	return n.Add(n, big.NewInt(1)), nil
}

// vouchesFor says whether the authority may sign for a name or address.
func vouchesFor(authority *x509.Certificate, dns string, ip net.IP) bool {
	if ip != nil {
		for _, r := range authority.PermittedIPRanges {
			if r.Contains(ip) {
				return true
			}
		}
		return false
	}
	for _, d := range authority.PermittedDNSDomains {
		if dns == d || strings.HasSuffix(dns, "."+d) {
			return true
		}
	}
	return false
}

// Fingerprint is the SHA-256 of a certificate, as tablets show it, in groups of
// four so that two people can compare it aloud.
func Fingerprint(der []byte) string {
	if len(der) == 0 {
		return ""
	}
	hex := fmt.Sprintf("%X", sha256.Sum256(der))
	groups := make([]string, 0, len(hex)/4)
	for ; hex != ""; hex = hex[4:] {
		groups = append(groups, hex[:4])
	}
	return strings.Join(groups, " ")
}

// settleAuthority reads the authority that is there, or makes the first one, or
// a new one after the old one has ended. One that cannot be read is an error
// and is never replaced: tablets trust it.
func settleAuthority(file string, now time.Time, names subjects) (pair, error) {
	there, err := readPair(file)
	switch {
	case errors.Is(err, os.ErrNotExist):
	case err != nil:
		return pair{}, fmt.Errorf("the authority's file cannot be used; move it away to have a new one made, which every tablet must then trust: %w", err)
	case now.Before(there.certificate.NotAfter):
		return there, nil
	}
	made, err := newAuthority(now, names)
	if err != nil {
		return pair{}, err
	}
	return made, writePair(file, made)
}
