package stats

import (
	"math"
	"math/cmplx"
	"sync"
)

// faddeeva returns w(z) = exp(-z^2) erfc(-i z) for Im z >= 0, to 1e-13, by the
// rational series of Weideman (SIAM Journal on Numerical Analysis 31, 1994) with
// 40 terms.
func faddeeva(z complex128) complex128 {
	below := complex(weidemanLength, 0) - complex(0, 1)*z
	ratio := (complex(weidemanLength, 0) + complex(0, 1)*z) / below
	var sum complex128
	for _, c := range weideman() {
		sum = sum*ratio + complex(c, 0)
	}
	return 2*sum/(below*below) + complex(1/math.Sqrt(math.Pi), 0)/below
}

const weidemanTerms = 40

var weidemanLength = math.Sqrt(weidemanTerms / math.Sqrt2)

// weideman returns the coefficients, highest power first: the Fourier
// coefficients of exp(-t^2)(L^2+t^2) at t = L tan(theta/2).
var weideman = sync.OnceValue(func() []float64 {
	const points = 2 * weidemanTerms
	coefficients := make([]float64, weidemanTerms)
	for i := range coefficients {
		power := float64(weidemanTerms - i)
		var sum float64
		for k := -points + 1; k < points; k++ {
			theta := float64(k) * math.Pi / points
			t := weidemanLength * math.Tan(theta/2)
			sum += math.Exp(-t*t) * (weidemanLength*weidemanLength + t*t) * math.Cos(power*theta)
		}
		coefficients[i] = sum / (2 * points)
	}
	return coefficients
})

// cutTransform returns the integral of the normal density times cos(t z) over z
// from -c to c, exp(-t^2/2) Re erf((c + i t)/sqrt(2)).
func cutTransform(c, t float64) float64 {
	if t == 0 {
		return math.Erf(c / math.Sqrt2)
	}
	w := faddeeva(complex(-t/math.Sqrt2, c/math.Sqrt2))
	return math.Exp(-t*t/2) - math.Exp(-c*c/2)*real(cmplx.Exp(complex(0, -c*t))*w)
}
