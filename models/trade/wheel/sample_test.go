package wheel

import (
	"errors"
	"slices"
	"testing"
)

// The sample for 36 spokes is common practice; other counts follow its rule.
func TestDefaultSampleOf36(t *testing.T) {
	a, b, err := DefaultSample(36)
	if err != nil {
		t.Fatal(err)
	}
	if !slices.Equal(a, []int{0, 12, 24}) || !slices.Equal(b, []int{7, 19, 31}) {
		t.Errorf("got %v and %v", a, b)
	}
}

func TestDefaultSampleIsEvenlySpread(t *testing.T) {
	for spokes := 12; spokes <= 72; spokes += 2 {
		a, b, err := DefaultSample(spokes)
		if err != nil {
			t.Fatal(err)
		}
		for side, list := range [][]int{a, b} {
			if len(list) != 3 {
				t.Fatalf("%d spokes, side %d: %v", spokes, side, list)
			}
			for i, j := range list {
				if j%2 != side || j < 0 || j >= spokes {
					t.Errorf("%d spokes: %d is not on side %d", spokes, j, side)
				}
				// A third of the side apart, within the one spoke that rounding takes.
				gap := (list[(i+1)%3] - j + spokes) % spokes
				if 3*gap < spokes-6 || 3*gap > spokes+6 {
					t.Errorf("%d spokes: %v are not evenly spread", spokes, list)
				}
			}
		}
		// Side B stands between those of side A.
		for i := range 3 {
			if next := (a[(i+1)%3] + spokes) % spokes; b[i] < a[i] || next != 0 && b[i] > next {
				t.Errorf("%d spokes: %v and %v do not alternate", spokes, a, b)
			}
		}
	}
}

func TestDefaultSampleRefuses(t *testing.T) {
	for _, spokes := range []int{-36, 0, 10, 35} {
		if _, _, err := DefaultSample(spokes); !errors.Is(err, ErrInput) {
			t.Errorf("%d spokes: %v", spokes, err)
		}
	}
}
