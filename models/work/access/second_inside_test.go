package access

import (
	"encoding/base32"
	"testing"
	"time"

	"github.com/pquerna/otp"
)

// The test vectors of RFC 6238, appendix B, for SHA-1: eight digits, secret
// "12345678901234567890". A code of six digits is their end (RFC 4226, 5.3).
func TestCodesAreThoseOfRFC6238(t *testing.T) {
	secret := base32.StdEncoding.EncodeToString([]byte("12345678901234567890"))
	for _, v := range []struct {
		unix int64
		code string
	}{{59, "94287082"}, {1111111109, "07081804"}, {1111111111, "14050471"}, {1234567890, "89005924"}, {2000000000, "69279037"}, {20000000000, "65353130"}} {
		at := time.Unix(v.unix, 0)
		for digits, want := range map[otp.Digits]string{otp.DigitsEight: v.code, otp.DigitsSix: v.code[2:]} {
			if got, err := codeOf(secret, stepAt(at), digits); err != nil || got != want {
				t.Errorf("at %d: %s, %v; the RFC has %s", v.unix, got, err, want)
			}
		}
		s := &Service{now: func() time.Time { return at }}
		if step, right, err := s.stepOf(secret, v.code[2:]); err != nil || !right || step != v.unix/30 {
			t.Errorf("at %d: step %d, %v, %v; want %d", v.unix, step, right, err, v.unix/30)
		}
	}
}

// One step before and after counts, for a clock that differs (RFC 6238, 5.2).
func TestAClockMayDifferByOneStep(t *testing.T) {
	secret := base32.StdEncoding.EncodeToString([]byte("12345678901234567890"))
	const made = 59 // in step 1
	for now, want := range map[int64]bool{0: true, 29: true, 30: true, 59: true, 60: true, 89: true, 90: false, 3600: false} {
		s := &Service{now: func() time.Time { return time.Unix(now, 0) }}
		if _, right, err := s.stepOf(secret, "287082"); err != nil || right != want {
			t.Errorf("the code of %d s at %d s: %v, %v; want %v", made, now, right, err, want)
		}
	}
}
