package trail

import (
	"crypto/sha256"
	"encoding/hex"
	"errors"
	"fmt"
	"math/bits"
	"slices"
)

// Hash is a SHA-256: of an entry, or of a node of the tree over entries.
type Hash [sha256.Size]byte

// String is the lower-case hex in which hashes are stored and shown.
func (h Hash) String() string { return hex.EncodeToString(h[:]) }

// ParseHash reads 64 digits of lower-case hex. Upper case is refused: a hash has
// one text, which is compared as text elsewhere.
func ParseHash(text string) (Hash, error) {
	var h Hash
	if len(text) != hex.EncodedLen(len(h)) {
		return h, fmt.Errorf("hash of %d characters, not %d: %w", len(text), hex.EncodedLen(len(h)), ErrSyntax)
	}
	if _, err := hex.Decode(h[:], []byte(text)); err != nil {
		return h, fmt.Errorf("hash: %w: %w", err, ErrSyntax)
	}
	if h.String() != text {
		return h, fmt.Errorf("hash in upper case: %w", ErrSyntax)
	}
	return h, nil
}

// LeafHash returns SHA-256( 0x00 || data ), the hash of a leaf (RFC 6962, 2.1).
// [EntryHash] is the LeafHash of an entry's canonical form.
func LeafHash(data []byte) Hash {
	return sha256.Sum256(append([]byte{0x00}, data...))
}

// nodeHash returns SHA-256( 0x01 || left || right ) (RFC 6962, 2.1).
func nodeHash(left, right Hash) Hash {
	var both [1 + 2*sha256.Size]byte
	both[0] = 0x01
	copy(both[1:], left[:])
	copy(both[1+sha256.Size:], right[:])
	return sha256.Sum256(both[:])
}

// Tree is the Merkle tree hash of a growing list of leaf hashes (RFC 6962, 2.1).
// It keeps the roots of the complete subtrees alone, one for each binary one of
// its size, so that a log of millions of entries needs 32 bytes times its
// doublings. The zero Tree is empty.
type Tree struct {
	size     int64
	frontier []Hash // roots of the complete subtrees, the largest first
}

// ResumeTree returns the tree that [Tree.Frontier] was taken from.
func ResumeTree(size int64, frontier []Hash) (*Tree, error) {
	if size < 0 || bits.OnesCount64(uint64(size)) != len(frontier) {
		return nil, fmt.Errorf("resume tree: %d subtrees for %d leaves: %w", len(frontier), size, ErrProof)
	}
	return &Tree{size, slices.Clone(frontier)}, nil
}

// Append adds the next leaf by its hash.
func (t *Tree) Append(leaf Hash) {
	// Each trailing one of the size is a complete subtree as large as what the
	// new leaf completes to its right.
	for range bits.TrailingZeros64(^uint64(t.size)) {
		last := len(t.frontier) - 1
		leaf = nodeHash(t.frontier[last], leaf)
		t.frontier = t.frontier[:last]
	}
	t.frontier = append(t.frontier, leaf)
	t.size++
}

// Size is the number of leaves.
func (t *Tree) Size() int64 { return t.size }

// Frontier returns the roots of the complete subtrees, the largest first.
func (t *Tree) Frontier() []Hash { return slices.Clone(t.frontier) }

// Root is the Merkle tree hash; that of no leaves is SHA-256 of nothing.
func (t *Tree) Root() Hash {
	if t.size == 0 {
		return sha256.Sum256(nil)
	}
	root := t.frontier[len(t.frontier)-1]
	for i := len(t.frontier) - 2; i >= 0; i-- {
		root = nodeHash(t.frontier[i], root)
	}
	return root
}

// Root is the Merkle tree hash of a list of leaf hashes.
func Root(leaves []Hash) Hash {
	var t Tree
	for _, leaf := range leaves {
		t.Append(leaf)
	}
	return t.Root()
}

// ErrProof: a proof does not lead from what is known to what is claimed, or is
// asked for outside the tree.
var ErrProof = errors.New("proof does not hold")

// split is the largest power of two below n, for n > 1.
func split(n int) int { return 1 << (bits.Len(uint(n-1)) - 1) }

// InclusionProof returns the hashes that lead from leaf index to the root, from
// the leaf upward: PATH(m, D[n]) of RFC 6962, 2.1.1.
func InclusionProof(leaves []Hash, index int) ([]Hash, error) {
	if index < 0 || index >= len(leaves) {
		return nil, fmt.Errorf("leaf %d of %d: %w", index, len(leaves), ErrProof)
	}
	return inclusion(leaves, index), nil
}

func inclusion(leaves []Hash, index int) []Hash {
	if len(leaves) == 1 {
		return []Hash{}
	}
	k := split(len(leaves))
	if index < k {
		return append(inclusion(leaves[:k], index), Root(leaves[k:]))
	}
	return append(inclusion(leaves[k:], index-k), Root(leaves[:k]))
}

// VerifyInclusion says whether a path leads from a leaf at index to the root of
// a tree of that size (RFC 9162, 2.1.3.2).
func VerifyInclusion(leaf Hash, index, size int64, path []Hash, root Hash) error {
	if index < 0 || index >= size {
		return fmt.Errorf("leaf %d of %d: %w", index, size, ErrProof)
	}
	at, last, got := index, size-1, leaf
	for _, p := range path {
		if last == 0 {
			return fmt.Errorf("path longer than the tree is high: %w", ErrProof)
		}
		if at&1 == 1 || at == last {
			got = nodeHash(p, got)
			for at&1 == 0 && at != 0 {
				at, last = at>>1, last>>1
			}
		} else {
			got = nodeHash(got, p)
		}
		at, last = at>>1, last>>1
	}
	if last != 0 || got != root {
		return fmt.Errorf("leaf %d of %d: %w", index, size, ErrProof)
	}
	return nil
}

// ConsistencyProof returns the hashes that show that the tree over all leaves
// begins with the tree over the first old of them: PROOF(m, D[n]) of RFC 6962,
// 2.1.2. An old size of zero or of all leaves needs none.
func ConsistencyProof(leaves []Hash, old int) ([]Hash, error) {
	if old < 0 || old > len(leaves) {
		return nil, fmt.Errorf("%d of %d leaves: %w", old, len(leaves), ErrProof)
	}
	if old == 0 || old == len(leaves) {
		return []Hash{}, nil
	}
	return consistency(leaves, old, true), nil
}

// consistency is SUBPROOF(m, D[n], whole): whole says that the old tree is known
// to whoever verifies, so that its root need not be told.
func consistency(leaves []Hash, old int, whole bool) []Hash {
	if old == len(leaves) {
		if whole {
			return []Hash{}
		}
		return []Hash{Root(leaves)}
	}
	k := split(len(leaves))
	if old <= k {
		return append(consistency(leaves[:k], old, whole), Root(leaves[k:]))
	}
	return append(consistency(leaves[k:], old-k, false), Root(leaves[:k]))
}

// VerifyConsistency says whether a path shows that the tree of the new size and
// root begins with that of the old size and root (RFC 9162, 2.1.4.2). Every tree
// begins with the empty one.
func VerifyConsistency(oldSize, newSize int64, oldRoot, newRoot Hash, path []Hash) error {
	wrong := fmt.Errorf("%d of %d leaves: %w", oldSize, newSize, ErrProof)
	switch {
	case oldSize < 0 || oldSize > newSize:
		return wrong
	case oldSize == 0:
		if len(path) > 0 || oldRoot != Root(nil) {
			return wrong
		}
		return nil
	case oldSize == newSize:
		if len(path) > 0 || oldRoot != newRoot {
			return wrong
		}
		return nil
	}
	if oldSize&(oldSize-1) == 0 {
		path = slices.Insert(slices.Clone(path), 0, oldRoot)
	}
	if len(path) == 0 {
		return wrong
	}
	at, last := oldSize-1, newSize-1
	for at&1 == 1 {
		at, last = at>>1, last>>1
	}
	gotOld, gotNew := path[0], path[0]
	for _, p := range path[1:] {
		if last == 0 {
			return wrong
		}
		if at&1 == 1 || at == last {
			gotOld, gotNew = nodeHash(p, gotOld), nodeHash(p, gotNew)
			for at&1 == 0 && at != 0 {
				at, last = at>>1, last>>1
			}
		} else {
			gotNew = nodeHash(gotNew, p)
		}
		at, last = at>>1, last>>1
	}
	if last != 0 || gotOld != oldRoot || gotNew != newRoot {
		return wrong
	}
	return nil
}
