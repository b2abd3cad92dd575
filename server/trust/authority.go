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
	"path/filepath"
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

// settleAuthority reads the authority that was made first, or makes it. Tablets trust
// that one, so it stays in its file: where it is not good now, as it seems by a clock that
// is wrong, another beside it stands in, for no longer than that. One that cannot be
// read is an error and is never replaced.
func settleAuthority(file string, now time.Time, names subjects) (pair, error) {
	first, err := readPair(file)
	none := errors.Is(err, os.ErrNotExist)
	switch {
	case none:
	case err != nil:
		return pair{}, fmt.Errorf("the authority's file cannot be used; move it away to have a new one made, which every tablet must then trust: %w", err)
	case goodAt(first.certificate, now):
		return first, nil
	}
	next, found, err := authorityBeside(file, now)
	if err == nil && !found {
		next, err = newAuthority(now, names)
	}
	switch {
	case err != nil:
		return pair{}, err
	case none:
		return next, writePair(file, next)
	case !found:
		return next, writePair(besideAuthority(file, next), next)
	}
	return next, nil
}

// firstMoment is before this program made any authority: a clock that says so lost its
// battery, and tells nothing of when one begins.
var firstMoment = time.Date(2025, 1, 1, 0, 0, 0, 0, time.UTC)

// goodAt says whether tablets whose clocks are right accept an authority.
func goodAt(authority *x509.Certificate, now time.Time) bool {
	return now.Before(authority.NotAfter) && (!now.Before(authority.NotBefore) || now.Before(firstMoment))
}

// besideAuthority is where one lies that stands in.
func besideAuthority(file string, standsIn pair) string {
	sum := sha256.Sum256(standsIn.certificate.Raw)
	return filepath.Join(filepath.Dir(file), fmt.Sprintf("%s%x.pem", besideFirst, sum[:6]))
}

// authorityBeside finds one beside the first that is good now, the oldest.
func authorityBeside(file string, now time.Time) (oldest pair, found bool, err error) {
	entries, err := os.ReadDir(filepath.Dir(file))
	for _, e := range entries {
		if !strings.HasPrefix(e.Name(), besideFirst) {
			continue
		}
		p, err := readPair(filepath.Join(filepath.Dir(file), e.Name()))
		if err == nil && goodAt(p.certificate, now) && (!found || p.certificate.NotBefore.Before(oldest.certificate.NotBefore)) {
			oldest, found = p, true
		}
	}
	return oldest, found, err
}
