package access

import (
	"strings"
	"testing"

	"tracewright/models"
)

func TestPasswords(t *testing.T) {
	login := "m.oduya"
	person := models.Person{Name: "Marta Oduya", Login: &login}
	for _, test := range []struct{ name, password, want string }{
		{"twelve characters are enough", "kettlo brimp", ""},
		{"eleven are not", "kettlo brim", "password_short"},
		{"characters count, not bytes", "żółw śpi łów", ""},
		{"a common word dressed up", "Password1234!", "password_common"},
		{"common words strung together", "letmein-welcome-2027", "password_common"},
		{"digits alone", "195823740116", "password_common"},
		{"one character over and over", "aaaaaaaaaaaa", "password_common"},
		{"a short piece over and over", "xy7!xy7!xy7!xy7!", "password_common"},
		{"along the keyboard", "qwertyuiopas", "password_common"},
		{"along the keyboard and back", "mnbvcxzlkjhg", "password_common"},
		{"one long word", "Philadelphia", "password_common"},
		{"one long word dressed up", "~Unbelievable 2031~", "password_common"},
		{"words that leaked together", "Need for Speed", "password_common"},
		{"a zigzag on the keyboard", "q1w2e3r4t5y6u7", "password_common"},
		{"the same on another keyboard", "flvbybcnhfnjh", "password_common"},
		{"a short one made longer", "chelsea-12345", "password_common"},
		{"a long word among others is fine", "philadelphia by barge", ""},
		{"the person's own name", "marta-oduya-1988", "password_common"},
		{"the person's login", "M.Oduya M.Oduya", "password_common"},
		{"a name among other words is fine", "marta fed eleven geese", ""},
		{"256 bytes are enough", strings.Repeat("gulls row ", 25) + "ashore", ""},
		{"257 are too many", strings.Repeat("gulls row ", 25) + "ashores", "too_long"},
	} {
		t.Run(test.name, func(t *testing.T) {
			got := &models.InvalidError{}
			checkPassword(got, test.password, person)
			wantCode(t, test.password, got, test.want)
		})
	}
}

// OWASP ASVS 5.0, 6.2.4: none of the first 3000, also where one is made as long as
// ours must be.
func TestTheFirstThreeThousandAreRefused(t *testing.T) {
	if n := len(strings.Fields(frequentText)); n < 3000 {
		t.Fatalf("the list holds %d", n)
	}
	for w := range strings.FieldsSeq(frequentText) {
		if long := w + strings.Repeat("1", max(0, MinPassword-len(w))); !isCommon(long, models.Person{}) {
			t.Errorf("%s is taken", long)
		}
	}
}

func TestPINs(t *testing.T) {
	for _, test := range []struct{ name, pin, want string }{
		{"four digits", "4709", ""},
		{"eight digits", "47091836", ""},
		{"three are too few", "470", "pin_form"},
		{"nine are too many", "470918365", "pin_form"},
		{"letters", "47a9", "pin_form"},
		{"digits of another script", "٤٧٠٩", "pin_form"},
		{"one digit", "7777", "pin_easy"},
		{"upward", "3456", "pin_easy"},
		{"downward", "98765", "pin_easy"},
		{"round the corner", "8901", "pin_easy"},
	} {
		t.Run(test.name, func(t *testing.T) {
			got := &models.InvalidError{}
			checkPIN(got, test.pin)
			wantCode(t, test.pin, got, test.want)
		})
	}
}

// The same word typed on two keyboards: one sends é, the other e and an accent.
func TestPasswordsAreNormalised(t *testing.T) {
	if a, b := normalPassword("caf\u00e9 under the bridge"), normalPassword("cafe\u0301 under the bridge"); a != b {
		t.Errorf("%q and %q stay different", a, b)
	}
}

func wantCode(t *testing.T, typed string, got *models.InvalidError, want string) {
	t.Helper()
	switch {
	case want == "" && len(got.Problems) > 0:
		t.Errorf("%q: %v, want it taken", typed, got)
	case want != "" && (len(got.Problems) != 1 || got.Problems[0].Code != want):
		t.Errorf("%q: %v, want %s", typed, got, want)
	}
}
