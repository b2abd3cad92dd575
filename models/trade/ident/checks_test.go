package ident

import (
	"fmt"
	"testing"
)

// MOD 97-10, MOD 11-2 and Damm's check catch every wrong digit and every swap of
// neighbours (ISO/IEC 7064:2003, clause 4; Damm 2004); Luhn's catches every wrong
// digit, and of the swaps all but that of 0 and 9 (ISO/IEC 7812-1).
func TestWhatChecksCatch(t *testing.T) {
	for name, system := range map[string]func(string) (string, bool){"MOD 97-10": Mod97, "MOD 11-2": Mod11, "Damm": Damm, "Luhn": Luhn} {
		for n := range 3000 {
			body := fmt.Sprintf("%04d", n*37%10_000)
			check, ok := system(body)
			if !ok {
				t.Fatalf("%s: no check of %s", name, body)
			}
			for i := range body {
				for d := '0'; d <= '9'; d++ {
					wrong := body[:i] + string(d) + body[i+1:]
					if got, _ := system(wrong); wrong != body && got == check {
						t.Fatalf("%s: %s and %s have the same check %s", name, body, wrong, check)
					}
				}
				if i == 0 || body[i] == body[i-1] || name == "Luhn" && (body[i-1:i+1] == "09" || body[i-1:i+1] == "90") {
					continue
				}
				swapped := body[:i-1] + body[i:i+1] + body[i-1:i] + body[i+1:]
				if got, _ := system(swapped); got == check {
					t.Fatalf("%s: %s and %s have the same check %s", name, body, swapped, check)
				}
			}
		}
		for _, body := range []string{"", "12-4", "é"} {
			if check, ok := system(body); ok {
				t.Errorf("%s of %q is %s, want none", name, body, check)
			}
		}
	}
}
