package access

import "testing"

// BenchmarkShopCost is how long one sign-in keeps a core busy.
func BenchmarkShopCost(b *testing.B) {
	h := newHasher(ShopCost)
	for b.Loop() {
		if _, err := h.hash(b.Context(), "a long secret"); err != nil {
			b.Fatal(err)
		}
	}
}
