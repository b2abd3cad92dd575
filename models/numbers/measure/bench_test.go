package measure

import "testing"

func BenchmarkParseReading(b *testing.B) {
	b.ReportAllocs()
	for b.Loop() {
		if _, err := ParseReading("-0,12"); err != nil {
			b.Fatal(err)
		}
	}
}
