package access

import (
	"context"
	"crypto/rand"
	"crypto/subtle"
	"encoding/base64"
	"errors"
	"fmt"
	"strings"

	"golang.org/x/crypto/argon2"
)

// Cost is how dear a guess is made.
type Cost struct {
	MemoryKiB uint32
	Passes    uint32
	Lanes     uint8
}

// ShopCost starts from the second recommendation of RFC 9106, section 4
// (argon2id, 3 passes, 64 MiB, 4 lanes) and halves memory and lanes, so that a
// small computer of two cores answers in about a tenth of a second and two
// sign-ins at once stay within 64 MiB.
var ShopCost = Cost{MemoryKiB: 32 * 1024, Passes: 3, Lanes: 2}

const (
	saltBytes = 16 // RFC 9106: 128 bits
	tagBytes  = 32 // RFC 9106: 256 bits

	// A stored hash asking for more than this was not made here.
	maxMemoryKiB = 1 << 20
	maxPasses    = 64
)

// errHashForm says that a stored hash cannot be read.
var errHashForm = errors.New("not an argon2id hash")

// hasher makes and checks hashes, two at a time: each takes memory.
type hasher struct {
	cost  Cost
	slots chan struct{}
}

func newHasher(cost Cost) *hasher { return &hasher{cost: cost, slots: make(chan struct{}, 2)} }

// hash gives the text form of RFC 9106's reference implementation:
// $argon2id$v=19$m=32768,t=3,p=2$salt$tag, base64 without padding.
func (h *hasher) hash(ctx context.Context, secret string) (string, error) {
	salt := make([]byte, saltBytes)
	if _, err := rand.Read(salt); err != nil {
		return "", fmt.Errorf("make a salt: %w", err)
	}
	if err := h.enter(ctx); err != nil {
		return "", err
	}
	defer h.leave()
	tag := argon2.IDKey([]byte(secret), salt, h.cost.Passes, h.cost.MemoryKiB, h.cost.Lanes, tagBytes)
	return hashText(h.cost, salt, tag), nil
}

// verify says whether the secret is the one that was hashed.
func (h *hasher) verify(ctx context.Context, text, secret string) (bool, error) {
	cost, salt, tag, err := parseHash(text)
	if err != nil {
		return false, err
	}
	if err := h.enter(ctx); err != nil {
		return false, err
	}
	defer h.leave()
	got := argon2.IDKey([]byte(secret), salt, cost.Passes, cost.MemoryKiB, cost.Lanes, uint32(len(tag)))
	return subtle.ConstantTimeCompare(got, tag) == 1, nil
}

// decoy is a hash that no secret answers to and that costs as much to check as
// a real one, for logins that nobody has.
func (h *hasher) decoy() string {
	random := make([]byte, saltBytes+tagBytes)
	// Read never fails (crypto/rand); were the bytes not random, still no
	// secret would be known to answer to them.
	_, _ = rand.Read(random)
	return hashText(h.cost, random[:saltBytes], random[saltBytes:])
}

// outdated says whether a hash was made at another cost than today's.
func (h *hasher) outdated(text string) bool {
	cost, _, _, err := parseHash(text)
	return err == nil && cost != h.cost
}

func (h *hasher) enter(ctx context.Context) error {
	select {
	case h.slots <- struct{}{}:
		return nil
	case <-ctx.Done():
		return fmt.Errorf("wait to check a secret: %w", ctx.Err())
	}
}

func (h *hasher) leave() { <-h.slots }

func hashText(c Cost, salt, tag []byte) string {
	b64 := base64.RawStdEncoding
	return fmt.Sprintf("$argon2id$v=%d$m=%d,t=%d,p=%d$%s$%s", argon2.Version, c.MemoryKiB, c.Passes, c.Lanes, b64.EncodeToString(salt), b64.EncodeToString(tag))
}

func parseHash(text string) (cost Cost, salt, tag []byte, err error) {
	parts := strings.Split(text, "$")
	if len(parts) != 6 || parts[0] != "" || parts[1] != "argon2id" || parts[2] != fmt.Sprintf("v=%d", argon2.Version) {
		return Cost{}, nil, nil, errHashForm
	}
	if n, err := fmt.Sscanf(parts[3], "m=%d,t=%d,p=%d", &cost.MemoryKiB, &cost.Passes, &cost.Lanes); err != nil || n != 3 {
		return Cost{}, nil, nil, errHashForm
	}
	if cost.Passes < 1 || cost.Lanes < 1 || cost.Passes > maxPasses || cost.MemoryKiB > maxMemoryKiB {
		return Cost{}, nil, nil, errHashForm
	}
	b64 := base64.RawStdEncoding.Strict()
	if salt, err = b64.DecodeString(parts[4]); err != nil || len(salt) < 8 {
		return Cost{}, nil, nil, errHashForm
	}
	if tag, err = b64.DecodeString(parts[5]); err != nil || len(tag) < 16 || len(tag) > 64 {
		return Cost{}, nil, nil, errHashForm
	}
	return cost, salt, tag, nil
}
