package certificate

import (
	"runtime/debug"
	"testing"
)

// BenchmarkDraw gives certificates a second on one core (GOMAXPROCS=1); the aim
// is 100 of two pages. Memory is collected as rarely as the server does it
// (app.Tune).
func BenchmarkDraw(b *testing.B) {
	defer debug.SetGCPercent(debug.SetGCPercent(800))
	for _, name := range []string{"wheel-36", "pack-4"} {
		b.Run(name, func(b *testing.B) {
			content, options := cases()[name]()
			options.Raw, options.Signature = canonical(b, content), signature(content)
			b.ReportAllocs()
			size := 0
			for b.Loop() {
				pdf, err := Draw(content, options)
				if err != nil {
					b.Fatal(err)
				}
				size = len(pdf)
			}
			b.ReportMetric(float64(b.N)/b.Elapsed().Seconds(), "papers/s")
			b.ReportMetric(float64(size), "bytes")
		})
	}
}
