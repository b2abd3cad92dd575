package wheel

import (
	"math"

	"gonum.org/v1/gonum/mat"
)

// Displacements of the ring, each with its mean and waves.
const (
	outward  = iota // u
	along           // v
	sideways        // w
	twist           // phi
	displacements
)

// spokeRows is how many squares the energy of a spoke is a sum of.
const spokeRows = 5

// unknowns counts the means and waves of all displacements.
func (m *Model) unknowns() int { return displacements * (2*m.build.Waves + 1) }

// cosineAt and sineAt are where a wave stands among the unknowns; wave 0 has
// the cosine only.
func (m *Model) cosineAt(displacement, n int) int {
	first := displacement * (2*m.build.Waves + 1)
	if n == 0 {
		return first
	}
	return first + 2*n - 1
}

func (m *Model) sineAt(displacement, n int) int { return m.cosineAt(displacement, n) + 1 }

// term is a factor of one unknown.
type term struct {
	at     int
	factor float64
}

// addSquare adds weight times the square of a sum of terms.
func addSquare(stiffness *mat.SymDense, weight float64, terms ...term) {
	for _, a := range terms {
		for _, b := range terms {
			if a.at <= b.at {
				stiffness.SetSym(a.at, b.at, stiffness.At(a.at, b.at)+weight*a.factor*b.factor)
			}
		}
	}
}

// addRing adds the energy of the ring, a sum of squares, wave by wave. The
// integral of a squared cosine or sine wave round the rim is pi R, of a squared
// mean 2 pi R.
func (m *Model) addRing(stiffness *mat.SymDense) {
	b, r := m.build, m.build.RimRadius
	half, whole := math.Pi*r, 2*math.Pi*r
	addSquare(stiffness, whole*b.EA, term{m.cosineAt(outward, 0), 1 / r})
	addSquare(stiffness, whole*b.OutOfPlaneEI, term{m.cosineAt(twist, 0), -1 / r})
	for wave := 1; wave <= b.Waves; wave++ {
		n := float64(wave)
		uc, us := m.cosineAt(outward, wave), m.sineAt(outward, wave)
		vc, vs := m.cosineAt(along, wave), m.sineAt(along, wave)
		addSquare(stiffness, half*b.EA, term{vs, n / r}, term{uc, 1 / r})
		addSquare(stiffness, half*b.EA, term{vc, -n / r}, term{us, 1 / r})
		addSquare(stiffness, half*b.InPlaneEI, term{vs, n / (r * r)}, term{uc, n * n / (r * r)})
		addSquare(stiffness, half*b.InPlaneEI, term{vc, -n / (r * r)}, term{us, n * n / (r * r)})
		for _, at := range [][2]int{{m.cosineAt(sideways, wave), m.cosineAt(twist, wave)}, {m.sineAt(sideways, wave), m.sineAt(twist, wave)}} {
			addSquare(stiffness, half*b.OutOfPlaneEI, term{at[0], n * n / (r * r)}, term{at[1], 1 / r})
			addSquare(stiffness, half*b.GJ, term{at[0], n / (r * r)}, term{at[1], n / r})
		}
	}
}

// compress takes off what the rim's compression makes softer.
func (m *Model) compress(stiffness *mat.SymDense) {
	r := m.build.RimRadius
	half, whole := -m.compression*math.Pi*r, -m.compression*2*math.Pi*r
	addSquare(stiffness, whole, term{m.cosineAt(along, 0), 1 / r})
	for wave := 1; wave <= m.build.Waves; wave++ {
		n := float64(wave)
		addSquare(stiffness, half, term{m.cosineAt(sideways, wave), n / r})
		addSquare(stiffness, half, term{m.sineAt(sideways, wave), n / r})
		addSquare(stiffness, half, term{m.cosineAt(along, wave), 1 / r}, term{m.sineAt(outward, wave), -n / r})
		addSquare(stiffness, half, term{m.sineAt(along, wave), 1 / r}, term{m.cosineAt(outward, wave), n / r})
	}
}

// spokeSquares writes the energy of a spoke as five squares: stretch, two
// swings across it, and what its pull adds through the inset of its nipple.
func (m *Model) spokeSquares(squares *mat.Dense, j int) {
	s, t, e := m.spokes[j], m.tension[j], m.build.NippleInset
	theta := m.angle(float64(j))
	u, v, w := m.radialRow(theta), m.alongRow(theta), m.lateralRow(theta, 0)
	phi, om := m.twistRow(theta), m.turnRow(theta)
	move := [3][]float64{u, combine(v, 1, om, -e), combine(w, 1, phi, e)}
	pull := func(direction [3]float64) []float64 {
		row := make([]float64, len(u))
		for axis, part := range direction {
			for i := range row {
				row[i] += part * move[axis][i]
			}
		}
		return row
	}
	n := s.UnitVector
	first, second := across(n)
	stretch := pull(n)
	m.pulls.SetCol(j, stretch)
	swing := math.Sqrt(t / s.Length)
	inset := math.Sqrt(t * math.Abs(n[0]) * e)
	for k, row := range []struct {
		of     []float64
		weight float64
	}{{stretch, math.Sqrt(s.StiffnessNmm)}, {pull(first), swing}, {pull(second), swing}, {phi, inset}, {om, inset}} {
		for i, value := range row.of {
			squares.Set(i, spokeRows*j+k, row.weight*value)
		}
	}
}

// across gives two unit vectors at right angles to a spoke and to each other.
// A spoke of a wheel is never tangential.
func across(n [3]float64) (first, second [3]float64) {
	long := math.Hypot(n[0], n[2])
	first = [3]float64{n[2] / long, 0, -n[0] / long}
	second = [3]float64{
		n[1]*first[2] - n[2]*first[1],
		n[2]*first[0] - n[0]*first[2],
		n[0]*first[1] - n[1]*first[0],
	}
	return first, second
}

// waveRow evaluates one displacement, or its derivative, at a place.
func (m *Model) waveRow(displacement int, theta float64, derivative bool) []float64 {
	row := make([]float64, m.unknowns())
	if !derivative {
		row[m.cosineAt(displacement, 0)] = 1
	}
	for n := 1; n <= m.build.Waves; n++ {
		sine, cosine := math.Sincos(float64(n) * theta)
		if derivative {
			sine, cosine = float64(n)*cosine, -float64(n)*sine
		}
		row[m.cosineAt(displacement, n)], row[m.sineAt(displacement, n)] = cosine, sine
	}
	return row
}

func (m *Model) radialRow(theta float64) []float64 { return m.waveRow(outward, theta, false) }
func (m *Model) alongRow(theta float64) []float64  { return m.waveRow(along, theta, false) }
func (m *Model) twistRow(theta float64) []float64  { return m.waveRow(twist, theta, false) }

// lateralRow is the movement to the side on a line some mm outward of the
// centroid: w - outset phi.
func (m *Model) lateralRow(theta, outset float64) []float64 {
	return combine(m.waveRow(sideways, theta, false), 1, m.twistRow(theta), -outset)
}

// turnRow is the turn of the rim in the plane of the wheel, (v - u')/R.
func (m *Model) turnRow(theta float64) []float64 {
	r := m.build.RimRadius
	return combine(m.alongRow(theta), 1/r, m.waveRow(outward, theta, true), -1/r)
}

// combine gives p a + q b.
func combine(a []float64, p float64, b []float64, q float64) []float64 {
	out := make([]float64, len(a))
	for i := range out {
		out[i] = p*a[i] + q*b[i]
	}
	return out
}
