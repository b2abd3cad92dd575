package access

import (
	"context"
	"strings"
	"testing"
)

// An independent program made these hashes: the argon2 command of the reference
// implementation (github.com/P-H-C/phc-winner-argon2, test.c, version 0x13,
// argon2id rows), secret "password", salt "somesalt".
func TestHashesOfTheReferenceImplementationVerify(t *testing.T) {
	for _, test := range []struct{ name, hash, secret string }{
		{"2 passes, 64 MiB", "$argon2id$v=19$m=65536,t=2,p=1$c29tZXNhbHQ$CTFhFdXPJO1aFaMaO6Mm5c8y7cJHAph8ArZWb2GRPPc", "password"},
		{"2 passes, 256 KiB", "$argon2id$v=19$m=256,t=2,p=1$c29tZXNhbHQ$nf65EOgLrQMR/uIPnA4rEsF5h7TKyQwu9U1bMCHGi/4", "password"},
		{"two lanes", "$argon2id$v=19$m=256,t=2,p=2$c29tZXNhbHQ$bQk8UB/VmZZF4Oo79iDXuL5/0ttZwg2f/5U52iv1cDc", "password"},
		{"another secret", "$argon2id$v=19$m=65536,t=2,p=1$c29tZXNhbHQ$C4TWUs9rDEvq7w3+J4umqA32aWKB1+DSiRuBfYxFj94", "differentpassword"},
	} {
		t.Run(test.name, func(t *testing.T) {
			h := newHasher(ShopCost)
			if ok, err := h.verify(context.Background(), test.hash, test.secret); err != nil || !ok {
				t.Errorf("verify(%s, %q) = %v, %v, want true", test.hash, test.secret, ok, err)
			}
			if ok, _ := h.verify(context.Background(), test.hash, test.secret+"x"); ok {
				t.Errorf("verify(%s) accepts another secret", test.hash)
			}
		})
	}
}

func TestHashIsSaltedAndCarriesItsCost(t *testing.T) {
	h := newHasher(Cost{MemoryKiB: 64, Passes: 1, Lanes: 1})
	one, err := h.hash(t.Context(), "a long secret")
	if err != nil {
		t.Fatal(err)
	}
	two, err := h.hash(t.Context(), "a long secret")
	if err != nil {
		t.Fatal(err)
	}
	if one == two {
		t.Errorf("the same secret gives the same hash twice: %s", one)
	}
	if !strings.HasPrefix(one, "$argon2id$v=19$m=64,t=1,p=1$") {
		t.Errorf("hash = %s, want its kind and cost in front", one)
	}
	if h.outdated(one) || !newHasher(ShopCost).outdated(one) {
		t.Error("a hash is outdated exactly when today's cost differs")
	}
	if ok, err := h.verify(t.Context(), h.decoy(), ""); ok || err != nil {
		t.Errorf("verify(decoy) = %v, %v, want false and no error", ok, err)
	}
}

func TestForeignHashesAreRefused(t *testing.T) {
	for _, test := range []struct{ name, hash string }{
		{"empty", ""},
		{"bcrypt", "$2b$12$abcdefghijklmnopqrstuv"},
		{"argon2i", "$argon2i$v=19$m=256,t=2,p=1$c29tZXNhbHQ$nf65EOgLrQMR/uIPnA4rEsF5h7TKyQwu9U1bMCHGi/4"},
		{"older version", "$argon2id$v=16$m=256,t=2,p=1$c29tZXNhbHQ$nf65EOgLrQMR/uIPnA4rEsF5h7TKyQwu9U1bMCHGi/4"},
		{"no passes", "$argon2id$v=19$m=256,t=0,p=1$c29tZXNhbHQ$nf65EOgLrQMR/uIPnA4rEsF5h7TKyQwu9U1bMCHGi/4"},
		{"more memory than a shop has", "$argon2id$v=19$m=4294967295,t=2,p=1$c29tZXNhbHQ$nf65EOgLrQMR/uIPnA4rEsF5h7TKyQwu9U1bMCHGi/4"},
		{"no tag", "$argon2id$v=19$m=256,t=2,p=1$c29tZXNhbHQ$"},
	} {
		t.Run(test.name, func(t *testing.T) {
			if ok, err := newHasher(ShopCost).verify(t.Context(), test.hash, "x"); ok || err == nil {
				t.Errorf("verify(%q) = %v, %v, want an error", test.hash, ok, err)
			}
		})
	}
}

func TestWaitingForASlotEndsWithTheRequest(t *testing.T) {
	h := newHasher(Cost{MemoryKiB: 64, Passes: 1, Lanes: 1})
	h.slots <- struct{}{}
	h.slots <- struct{}{}
	ctx, cancel := context.WithCancel(t.Context())
	cancel()
	if _, err := h.hash(ctx, "x"); err == nil {
		t.Error("hash with every slot taken and the request over gives no error")
	}
}
