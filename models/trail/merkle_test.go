package trail

import (
	"encoding/hex"
	"errors"
	"slices"
	"strconv"
	"testing"

	"tracewright/testdata/cases"
)

// leafHashes reads leaves as the cases give them: their data in hex.
func leafHashes(t *testing.T, data []string) []Hash {
	t.Helper()
	leaves := make([]Hash, len(data))
	for i, text := range data {
		raw, err := hex.DecodeString(text)
		if err != nil {
			t.Fatal(err)
		}
		leaves[i] = LeafHash(raw)
	}
	return leaves
}

func texts(path []Hash) []string {
	out := []string{}
	for _, h := range path {
		out = append(out, h.String())
	}
	return out
}

type treeInput struct {
	Leaves  []string `json:"leaves_hex"`
	Index   int      `json:"index"`
	OldSize int      `json:"old_size"`
}

// Cases of kind merkle_root: RFC 6962, 2.1.
func TestMerkleRootCases(t *testing.T) {
	for _, c := range cases.OfKind(t, "merkle_root") {
		in := cases.Decode[treeInput](t, c.Input)
		want := cases.Decode[struct{ Root string }](t, c.Expected)
		if got := Root(leafHashes(t, in.Leaves)).String(); got != want.Root {
			t.Errorf("%s: %s; want %s", c.ID, got, want.Root)
		}
	}
}

// Cases of kind inclusion_proof: RFC 6962, 2.1.1.
func TestInclusionProofCases(t *testing.T) {
	for _, c := range cases.OfKind(t, "inclusion_proof") {
		in := cases.Decode[treeInput](t, c.Input)
		want := cases.Decode[struct {
			Path []string
			Root string
		}](t, c.Expected)
		leaves := leafHashes(t, in.Leaves)
		path, err := InclusionProof(leaves, in.Index)
		if err != nil || !slices.Equal(texts(path), want.Path) {
			t.Errorf("%s: %v, %v; want %v", c.ID, texts(path), err, want.Path)
		}
		root, err := ParseHash(want.Root)
		if err != nil {
			t.Fatal(err)
		}
		if err := VerifyInclusion(leaves[in.Index], int64(in.Index), int64(len(leaves)), path, root); err != nil {
			t.Errorf("%s: %v", c.ID, err)
		}
	}
}

// Cases of kind consistency_proof: RFC 6962, 2.1.2.
func TestConsistencyProofCases(t *testing.T) {
	for _, c := range cases.OfKind(t, "consistency_proof") {
		in := cases.Decode[treeInput](t, c.Input)
		want := cases.Decode[struct {
			Path []string
			Old  string `json:"old_root"`
			New  string `json:"new_root"`
		}](t, c.Expected)
		leaves := leafHashes(t, in.Leaves)
		path, err := ConsistencyProof(leaves, in.OldSize)
		if err != nil || !slices.Equal(texts(path), want.Path) {
			t.Errorf("%s: %v, %v; want %v", c.ID, texts(path), err, want.Path)
		}
		older, newer := Root(leaves[:in.OldSize]), Root(leaves)
		if older.String() != want.Old || newer.String() != want.New {
			t.Errorf("%s: roots %s and %s; want %s and %s", c.ID, older, newer, want.Old, want.New)
		}
		if err := VerifyConsistency(int64(in.OldSize), int64(len(leaves)), older, newer, path); err != nil {
			t.Errorf("%s: %v", c.ID, err)
		}
	}
}

// The example of RFC 6962, 2.1.3, with seven leaves d0 to d6: the figure names
// the nodes, from which the paths and proofs of the text are built here by hand.
func TestPublishedTreeOfSeven(t *testing.T) {
	leaves := leafHashes(t, []string{"d0", "d1", "d2", "d3", "d4", "d5", "d6"})
	a, b, c, d, e, f, j := leaves[0], leaves[1], leaves[2], leaves[3], leaves[4], leaves[5], leaves[6]
	g, h, i := nodeHash(a, b), nodeHash(c, d), nodeHash(e, f)
	k, l := nodeHash(g, h), nodeHash(i, j)
	if Root(leaves) != nodeHash(k, l) {
		t.Error("root is not hash(k, l)")
	}
	for index, want := range map[int][]Hash{0: {b, h, l}, 3: {c, g, l}, 4: {f, j, k}, 6: {i, k}} {
		if got, err := InclusionProof(leaves, index); err != nil || !slices.Equal(got, want) {
			t.Errorf("path of d%d: %v, %v; want %v", index, texts(got), err, texts(want))
		}
	}
	for old, want := range map[int][]Hash{3: {c, d, g, l}, 4: {l}, 6: {i, j, k}} {
		if got, err := ConsistencyProof(leaves, old); err != nil || !slices.Equal(got, want) {
			t.Errorf("proof from %d: %v, %v; want %v", old, texts(got), err, texts(want))
		}
	}
}

// rootByDefinition is MTH of RFC 6962, 2.1, word for word.
func rootByDefinition(leaves []Hash) Hash {
	if len(leaves) == 1 {
		return leaves[0]
	}
	k := 1
	for k*2 < len(leaves) {
		k *= 2
	}
	return nodeHash(rootByDefinition(leaves[:k]), rootByDefinition(leaves[k:]))
}

func TestTreeProofsOfEverySize(t *testing.T) {
	var leaves []Hash
	var roots []Hash
	var tree Tree
	roots = append(roots, tree.Root())
	for n := range 70 {
		leaves = append(leaves, LeafHash([]byte(strconv.Itoa(n))))
		tree.Append(leaves[n])
		resumed, err := ResumeTree(tree.Size(), tree.Frontier())
		if err != nil || resumed.Root() != tree.Root() || tree.Root() != rootByDefinition(leaves) {
			t.Fatalf("%d leaves: %v; roots %s, resumed %s, by definition %s", n+1, err, tree.Root(), resumed.Root(), rootByDefinition(leaves))
		}
		roots = append(roots, tree.Root())
	}
	size := int64(len(leaves))
	for n := int64(1); n <= size; n++ {
		for m := range n {
			path, err := InclusionProof(leaves[:n], int(m))
			if err != nil || VerifyInclusion(leaves[m], m, n, path, roots[n]) != nil {
				t.Fatalf("leaf %d of %d is not found", m, n)
			}
			if VerifyInclusion(leaves[m], m, n, path, roots[n-1]) == nil || n > 1 && VerifyInclusion(leaves[m], (m+1)%n, n, path, roots[n]) == nil {
				t.Fatalf("leaf %d of %d is found in another tree or place", m, n)
			}
			proof, err := ConsistencyProof(leaves[:n], int(m))
			if err != nil || VerifyConsistency(m, n, roots[m], roots[n], proof) != nil {
				t.Fatalf("tree of %d does not begin with that of %d", n, m)
			}
			if VerifyConsistency(m, n, roots[m+1], roots[n], proof) == nil {
				t.Fatalf("tree of %d begins with another of %d", n, m)
			}
		}
	}
}

func TestProofsRefuse(t *testing.T) {
	leaves := leafHashes(t, []string{"00", "01", "02"})
	root := Root(leaves)
	path, err := InclusionProof(leaves, 0)
	if err != nil {
		t.Fatal(err)
	}
	one := func(_ []Hash, err error) error { return err }
	_, resume := ResumeTree(3, leaves[:1])
	for name, err := range map[string]error{
		"leaf behind the last":    one(InclusionProof(leaves, 3)),
		"leaf before the first":   one(InclusionProof(leaves, -1)),
		"an older tree is larger": one(ConsistencyProof(leaves, 4)),
		"index behind the size":   VerifyInclusion(leaves[0], 3, 3, path, root),
		"path too long":           VerifyInclusion(leaves[0], 0, 3, append(slices.Clone(path), root), root),
		"path too short":          VerifyInclusion(leaves[0], 0, 3, path[:1], root),
		"no path":                 VerifyConsistency(1, 3, leaves[0], root, nil),
		"shrinking":               VerifyConsistency(3, 1, root, leaves[0], nil),
		"the same size, another":  VerifyConsistency(3, 3, root, leaves[0], nil),
		"an empty tree with root": VerifyConsistency(0, 3, root, root, nil),
		"subtrees for the size":   resume,
	} {
		if !errors.Is(err, ErrProof) {
			t.Errorf("%s: %v", name, err)
		}
	}
}

func TestParseHash(t *testing.T) {
	h := LeafHash(nil)
	if got, err := ParseHash(h.String()); err != nil || got != h {
		t.Errorf("%s: %s, %v", h, got, err)
	}
	for _, text := range []string{"", h.String()[1:], h.String() + "00", "6E340B9CFFB37A989CA544E6BB780A2C78901D3FB33738768511A30617AFA01D", "g" + h.String()[1:]} {
		if _, err := ParseHash(text); !errors.Is(err, ErrSyntax) {
			t.Errorf("%q: %v", text, err)
		}
	}
}
