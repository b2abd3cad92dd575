package access

import (
	"slices"
	"strings"
	"testing"
	"time"
	"unicode"
	"unicode/utf8"

	"github.com/pquerna/otp"

	"tracewright/models"
)

// Whatever is typed for a code, only the codes of now and of a step before and
// after are right, however they are set apart.
func FuzzCodes(f *testing.F) {
	const secret = "GEZDGNBVGY3TQOJQGEZDGNBVGY3TQOJQ" // of RFC 6238, appendix B
	// The codes there have eight digits, of which ours are the last six: at 1111111109 s
	// it is 07081804.
	at := time.Unix(1111111109, 0)
	s := &Service{now: func() time.Time { return at }}
	for _, typed := range []string{"081804", "081 804", " 0818-04\u00a0", "07081804", "81804", "ABCDE-01234", "٠٨١٨٠٤", "\xff", "", "ß"} {
		f.Add(typed)
	}
	var near []string
	for step := stepAt(at) - 1; step <= stepAt(at)+1; step++ {
		code, err := codeOf(secret, step, otp.DigitsSix)
		if err != nil {
			f.Fatal(err)
		}
		near = append(near, code)
	}
	if near[1] != "081804" {
		f.Fatalf("the code of the RFC's moment is %s", near[1])
	}
	f.Fuzz(func(t *testing.T, typed string) {
		bare := bareCode(typed)
		if again := bareCode(bare); again != bare || strings.ContainsAny(bare, " -") {
			t.Errorf("%q is bare as %q and then as %q", typed, bare, again)
		}
		step, right, err := s.stepOf(secret, bare)
		if err != nil || right != slices.Contains(near, bare) || right && step-stepAt(at) > 1 {
			t.Errorf("%q: step %d, right %v, %v", typed, step, right, err)
		}
	})
}

// What browsers call themselves is kept short and on one line, and read without a
// version; the same name is always the same machine.
func FuzzAgents(f *testing.F) {
	for _, agent := range []string{"Mozilla/5.0 (X11; Linux x86_64; rv:140.0) Gecko/20100101 Firefox/140.0",
		"Mozilla/5.0 (iPad; CPU OS 17_5 like Mac OS X) AppleWebKit/605.1.15 (KHTML, like Gecko) Version/17.5 Mobile/15E148 Safari/604.1",
		"curl/8.9", "", "(", ")", ";;;((", "a\nb\x00", "\xff\xfe", strings.Repeat("é", 150), "Mozilla/5.0 (" + strings.Repeat("(", 300), "/", "Opera/ (/"} {
		f.Add(agent, "192.0.2.7")
	}
	f.Add("curl/8.9", "2001:db8::1%eth0")
	f.Fuzz(func(t *testing.T, agent, address string) {
		short := ShortAgent(agent)
		if len(short) > longestAgent || !utf8.ValidString(short) || strings.ContainsFunc(short, func(r rune) bool { return r < ' ' || r == 0x7f }) || ShortAgent(short) != short {
			t.Errorf("%q is kept as %q", agent, short)
		}
		name, system := Browser(short)
		if !utf8.ValidString(name+system) || strings.ContainsFunc(name+system, unicode.IsControl) && !strings.ContainsFunc(short, unicode.IsControl) {
			t.Errorf("%q is read as %q on %q", short, name, system)
		}
		seen := models.DeviceSighting{Agent: short, Address: address}
		if !sameMachine(seen, seen) {
			t.Errorf("%q at %q is two machines", short, address)
		}
		if client := clientAt(address); clientAt(client) != client && !strings.Contains(client, "/") {
			t.Errorf("%q is counted as %q and then as %q", address, client, clientAt(client))
		}
	})
}
