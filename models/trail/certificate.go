package trail

import (
	"crypto/ed25519"
	"errors"
)

// SignCertificate returns Ed25519( "qc-certificate-v1\n" || canonical ), where
// canonical is the canonical form of the certificate's content.
func SignCertificate(key ed25519.PrivateKey, canonical []byte) []byte {
	return ed25519.Sign(key, append([]byte(certificatePrefix), canonical...))
}

// VerifyCertificate checks what [SignCertificate] gave. The errors are
// [ErrUnknownKey] and [ErrBadSignature]. Whether the certificate still stands is
// for the register to say.
func VerifyCertificate(trusted Keys, keyID string, canonical, signature []byte) error {
	return trusted.verify(keyID, certificatePrefix, canonical, signature)
}

// What a certificate turns out to be; otherwise the word of the register, such
// as superseded or void.
const (
	CertificateValid        = "valid"
	CertificateUnknownKey   = "unknown_key"
	CertificateBadSignature = "bad_signature"
)

// CertificateResult joins what [VerifyCertificate] said with the register's word,
// which is empty for one that stands or where no register is at hand: a
// certificate that nobody trusted has signed has no state.
func CertificateResult(verified error, register string) string {
	switch {
	case errors.Is(verified, ErrUnknownKey):
		return CertificateUnknownKey
	case verified != nil:
		return CertificateBadSignature
	case register != "":
		return register
	}
	return CertificateValid
}
