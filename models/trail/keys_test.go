package trail

import (
	"crypto/ed25519"
	"encoding/base64"
	"encoding/hex"
	"encoding/json"
	"errors"
	"testing"

	"tracewright/testdata/cases"
)

// testKey makes a key from a seed of one byte repeated.
func testKey(seed byte) (ed25519.PrivateKey, Keys) {
	raw := make([]byte, ed25519.SeedSize)
	for i := range raw {
		raw[i] = seed
	}
	private := ed25519.NewKeyFromSeed(raw)
	public := private.Public().(ed25519.PublicKey)
	return private, Keys{KeyID(public): public}
}

func unhex(t *testing.T, text string) []byte {
	t.Helper()
	raw, err := hex.DecodeString(text)
	if err != nil {
		t.Fatal(err)
	}
	return raw
}

// publicKeys reads trusted keys as the cases give them.
func publicKeys(t *testing.T, of map[string]string) Keys {
	t.Helper()
	keys := Keys{}
	for id, text := range of {
		public, err := ParsePublicKey(text)
		if err != nil {
			t.Fatal(err)
		}
		keys[id] = public
	}
	return keys
}

// Cases of kind ed25519: RFC 8032, 7.1, tests 1 and 2. Signing is deterministic.
func TestEd25519Cases(t *testing.T) {
	for _, c := range cases.OfKind(t, "ed25519") {
		in := cases.Decode[struct {
			Secret  string
			Message string `json:"message_hex"`
		}](t, c.Input)
		want := cases.Decode[struct{ Public, Signature string }](t, c.Expected)
		checkVector(t, c.ID, in.Secret, want.Public, in.Message, want.Signature)
	}
}

// RFC 8032, 7.1, test 3 and test SHA(abc).
func TestEd25519Vectors(t *testing.T) {
	checkVector(t, "test 3", "c5aa8df43f9f837bedb7442f31dcb7b166d38535076f094b85ce3a2e0b4458f7",
		"fc51cd8e6218a1a38da47ed00230f0580816ed13ba3303ac5deb911548908025", "af82",
		"6291d657deec24024827e69c3abe01a30ce548a284743a445e3680d7db5ac3ac18ff9b538d16f290ae67f760984dc6594a7c15e9716ed28dc027beceea1ec40a")
	checkVector(t, "test SHA(abc)", "833fe62409237b9d62ec77587520911e9a759cec1d19755b7da901b96dca3d42",
		"ec172b93ad5e563bf4932c70e1245034c35467ef2efd4d64ebf819683467e2bf",
		"ddaf35a193617abacc417349ae20413112e6fa4e89a97ea20a9eeee64b55d39a2192992a274fc1a836ba3c23a3feebbd454d4423643ce80e2a9ac94fa54ca49f",
		"dc2a4459e7369633a52b1bf277839a00201009a3efbf3ecb69bea2186c26b58909351fc9ac90b3ecfdfbc7c66431e0303dca179c138ac17ad9bef1177331a704")
}

func checkVector(t *testing.T, name, secret, public, message, signature string) {
	t.Helper()
	key := ed25519.NewKeyFromSeed(unhex(t, secret))
	if got := hex.EncodeToString(key.Public().(ed25519.PublicKey)); got != public {
		t.Errorf("%s: public key %s; want %s", name, got, public)
	}
	if got := hex.EncodeToString(ed25519.Sign(key, unhex(t, message))); got != signature {
		t.Errorf("%s: signature %s; want %s", name, got, signature)
	}
	keys := publicKeys(t, map[string]string{"k": public})
	if err := keys.verify("k", "", unhex(t, message), unhex(t, signature)); err != nil {
		t.Errorf("%s: %v", name, err)
	}
}

func TestEd25519VerifyCases(t *testing.T) {
	for _, c := range cases.OfKind(t, "ed25519_verify") {
		in := cases.Decode[struct {
			Public, Signature string
			Message           string `json:"message_hex"`
		}](t, c.Input)
		want := cases.Decode[struct{ Valid bool }](t, c.Expected)
		keys := publicKeys(t, map[string]string{"k": in.Public})
		if err := keys.verify("k", "", unhex(t, in.Message), unhex(t, in.Signature)); (err == nil) != want.Valid {
			t.Errorf("%s: %v; want valid %t", c.ID, err, want.Valid)
		}
	}
}

// RFC 8032, 5.1.7: S + L signs the same by the equation alone, and must be
// refused; L is 2^252 + 27742317777372353535851937790883648493.
func TestSignatureHasOneText(t *testing.T) {
	key, keys := testKey(1)
	id := KeyID(key.Public().(ed25519.PublicKey))
	sig := SignCertificate(key, []byte("{}"))
	if err := VerifyCertificate(keys, id, []byte("{}"), sig); err != nil {
		t.Fatal(err)
	}
	order := unhex(t, "edd3f55c1a631258d69cf7a2def9de1400000000000000000000000000000010") // little-endian
	carry := 0
	for i, b := range order {
		sum := int(sig[32+i]) + int(b) + carry
		sig[32+i], carry = byte(sum), sum>>8
	}
	if err := VerifyCertificate(keys, id, []byte("{}"), sig); !errors.Is(err, ErrBadSignature) {
		t.Errorf("S + L: %v", err)
	}
}

// Cases of kind certificate_verify.
func TestCertificateCases(t *testing.T) {
	for _, c := range cases.OfKind(t, "certificate_verify") {
		t.Run(c.ID, func(t *testing.T) {
			in := cases.Decode[struct {
				Payload  json.RawMessage
				Sig      string `json:"sig_b64url"`
				Key      string
				Trusted  map[string]string
				Register *string `json:"register_status"`
			}](t, c.Input)
			want := cases.Decode[struct {
				SHA256 string `json:"canonical_sha256"`
				Result string
			}](t, c.Expected)
			canonical, err := CanonicalJSON(in.Payload)
			if err != nil || Digest(canonical) != want.SHA256 {
				t.Fatalf("canonical digest %s, %v; want %s", Digest(canonical), err, want.SHA256)
			}
			sig, err := base64.RawURLEncoding.DecodeString(in.Sig)
			if err != nil {
				t.Fatal(err)
			}
			register := ""
			if in.Register != nil {
				register = *in.Register
			}
			keys := publicKeys(t, in.Trusted)
			if got := CertificateResult(VerifyCertificate(keys, in.Key, canonical, sig), register); got != want.Result {
				t.Errorf("got %s; want %s", got, want.Result)
			}
			// An unknown key is told before anything else.
			if got := CertificateResult(VerifyCertificate(keys, "k2", canonical, sig), "void"); got != CertificateUnknownKey {
				t.Errorf("unknown key: %s", got)
			}
		})
	}
}

// Case CER-01 made anew: its key is that of RFC 8032, 7.1, test 1.
func TestSignCertificate(t *testing.T) {
	c := cases.OfKind(t, "certificate_verify")[0]
	in := cases.Decode[struct {
		Payload json.RawMessage
		Sig     string `json:"sig_b64url"`
	}](t, c.Input)
	canonical, err := CanonicalJSON(in.Payload)
	if err != nil {
		t.Fatal(err)
	}
	key := ed25519.NewKeyFromSeed(unhex(t, "9d61b19deffd5a60ba844af492ec2cc44449c5697b326919703bac031cae7f60"))
	if got := base64.RawURLEncoding.EncodeToString(SignCertificate(key, canonical)); got != in.Sig {
		t.Errorf("got %s; want %s", got, in.Sig)
	}
}

func TestEnrolment(t *testing.T) {
	older, trusted := testKey(1)
	newer, _ := testKey(2)
	_, strangers := testKey(3)
	public := newer.Public().(ed25519.PublicKey)
	good, err := Enrol(older, "shop-1", public)
	if err != nil {
		t.Fatal(err)
	}
	if got, err := good.Verify(trusted, "shop-1"); err != nil || !got.Equal(public) {
		t.Errorf("enrolled %x, %v", got, err)
	}
	bad := good
	bad.Key = hex.EncodeToString(older.Public().(ed25519.PublicKey))
	for name, test := range map[string]struct {
		e       Enrolment
		trusted Keys
		log     string
		want    error
	}{
		"for another log":         {good, trusted, "shop-2", ErrBadSignature},
		"another key slipped in":  {bad, trusted, "shop-1", ErrBadSignature},
		"vouched for by a nobody": {good, strangers, "shop-1", ErrUnknownKey},
		"signature not hex":       {Enrolment{good.Key, good.By, "?"}, trusted, "shop-1", ErrBadSignature},
		"key not hex":             {Enrolment{"?", good.By, good.Sig}, trusted, "shop-1", ErrSyntax},
	} {
		if _, err := test.e.Verify(test.trusted, test.log); !errors.Is(err, test.want) {
			t.Errorf("%s: %v; want %v", name, err, test.want)
		}
	}
}

// A signature of one kind is none of another, over the same content.
func TestPrefixesKeepKindsApart(t *testing.T) {
	key, keys := testKey(1)
	signed, err := Checkpoint{V: 1, Log: "shop-1", Size: 1}.Sign(key)
	if err != nil {
		t.Fatal(err)
	}
	canonical, err := Canonical(signed.Body)
	if err != nil {
		t.Fatal(err)
	}
	if err := VerifyCertificate(keys, signed.Body.Key, canonical, unhex(t, signed.Sig)); !errors.Is(err, ErrBadSignature) {
		t.Errorf("a checkpoint taken for a certificate: %v", err)
	}
	signed.Sig = hex.EncodeToString(SignCertificate(key, canonical))
	if err := signed.Verify(keys); !errors.Is(err, ErrBadSignature) {
		t.Errorf("a certificate taken for a checkpoint: %v", err)
	}
}
