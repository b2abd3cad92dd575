package backups

import (
	"crypto/sha256"
	"errors"
	"fmt"
	"strings"

	"filippo.io/age"
)

// secretPrefix begins the standard text of a key.
const secretPrefix = "AGE-SECRET-KEY-1"

const (
	secretDigits = 58 // behind the prefix, its own check among them
	lineDigits   = 16
	checkDigits  = 2
	bech32       = "QPZRY9X8GF2TVDW0S3JN54KHCE6MUA7L"
)

// ErrNoKey says that a text is no recovery key.
var ErrNoKey = errors.New("this is no recovery key")

// LineError says which line of a recovery key was mistyped.
type LineError struct{ Line int }

func (e *LineError) Error() string { return fmt.Sprintf("line %d does not match its check", e.Line) }

// Recovery is the key that opens backups. The shop keeps its public half alone;
// the private one is on paper.
type Recovery struct{ identity *age.X25519Identity }

// NewRecovery makes a key.
func NewRecovery() (Recovery, error) {
	identity, err := age.GenerateX25519Identity()
	if err != nil {
		return Recovery{}, fmt.Errorf("make a recovery key: %w", err)
	}
	return Recovery{identity}, nil
}

// Recipient is the public half: what backups are encrypted to.
func (r Recovery) Recipient() string { return r.identity.Recipient().String() }

// Secret is the key as other programs take it, and as the QR code holds it.
func (r Recovery) Secret() string { return r.identity.String() }

// Lines are the key as it is printed to be typed again: 16 digits a line in
// groups of four, and behind them two that tell whether that line is right.
// The letters B, I and O and the digit 1 do not occur.
func (r Recovery) Lines() []string {
	rest := strings.TrimPrefix(r.Secret(), secretPrefix)
	var lines []string
	for n := 1; rest != ""; n++ {
		digits := rest[:min(lineDigits, len(rest))]
		rest = rest[len(digits):]
		groups := ""
		for at := 0; at < len(digits); at += 4 {
			groups += digits[at:min(at+4, len(digits))] + " "
		}
		lines = append(lines, groups+" "+lineCheck(n, digits))
	}
	return lines
}

// lineCheck is two digits from the SHA-256 of a line and its number, so that
// lines in the wrong order are found too: one mistake in 1024 passes it, and
// none of those passes the check of the whole key.
func lineCheck(n int, digits string) string {
	sum := sha256.Sum256(fmt.Appendf(nil, "%d %s", n, digits))
	return string([]byte{bech32[sum[0]%32], bech32[sum[1]%32]})
}

// ParseRecovery reads a key in either form, however spaced and in either case.
// A [LineError] says which line is wrong.
func ParseRecovery(typed string) (Recovery, error) {
	plain := strings.ToUpper(strings.Join(strings.Fields(typed), ""))
	if !strings.HasPrefix(plain, secretPrefix) {
		secret, err := unlined(strings.ReplaceAll(plain, "-", ""))
		if err != nil {
			return Recovery{}, err
		}
		plain = secretPrefix + secret
	}
	if len(plain) != len(secretPrefix)+secretDigits {
		return Recovery{}, ErrNoKey
	}
	identity, err := age.ParseX25519Identity(plain)
	if err != nil {
		return Recovery{}, ErrNoKey
	}
	return Recovery{identity}, nil
}

// unlined takes the checks out of the lines.
func unlined(digits string) (secret string, err error) {
	lines := (secretDigits + lineDigits - 1) / lineDigits
	if len(digits) != secretDigits+lines*checkDigits {
		return "", ErrNoKey
	}
	for n := 1; n <= lines; n++ {
		length := min(lineDigits, secretDigits-len(secret))
		line, check := digits[:length], digits[length:length+checkDigits]
		digits = digits[length+checkDigits:]
		if check != lineCheck(n, line) {
			return "", &LineError{n}
		}
		secret += line
	}
	return secret, nil
}

// IsRecipient says whether a text is the public half of a recovery key.
func IsRecipient(text string) bool {
	_, err := age.ParseX25519Recipient(text)
	return err == nil
}
