package num

import (
	_ "embed"
	"encoding/csv"
	"errors"
	"fmt"
	"math/bits"
	"math/rand/v2"
	"strconv"
	"strings"
	"sync"
)

// ErrDimensions says that a point set has no, or too many, coordinates.
var ErrDimensions = errors.New("coordinates of a point set")

// SobolDimensionsMax is the largest number of coordinates of a Sobol point.
const SobolDimensionsMax = 256

// sobolBits are the binary digits of a coordinate, and so the points that a set
// has before it repeats: 2^32.
const sobolBits = 32

//go:embed data/sobol.csv
var sobolTable string

// Sobol is a Sobol sequence in some number of coordinates: any 2^m points of it
// that begin at a multiple of 2^m have one point in each of 2^m equal slices of
// every coordinate. Coordinate d of point n is the exclusive or of the direction
// numbers of the binary digits of n in Gray code (Antonov and Saleev 1979).
//
// Direction numbers: S. Joe, F. Y. Kuo, SIAM J. Sci. Comput. 30 (2008) 2635
// (source key joe-kuo-2008). It is read only and may be shared.
type Sobol struct {
	direction [][sobolBits]uint32
	shift     []uint32
	centre    float64 // added to the last digit
}

// NewSobol returns the plain sequence, whose point 0 is the corner 0. Errors:
// ErrDimensions outside 1 to SobolDimensionsMax.
func NewSobol(dimensions int) (*Sobol, error) {
	if dimensions < 1 || dimensions > SobolDimensionsMax {
		return nil, fmt.Errorf("%w: %d, from 1 to %d are known", ErrDimensions, dimensions, SobolDimensionsMax)
	}
	return &Sobol{direction: directions()[:dimensions], shift: make([]uint32, dimensions)}, nil
}

// Scrambled returns the sequence with every coordinate scrambled by a random
// linear map of its digits and a random digital shift, which keep what makes
// the points even and make each of them uniform over (0, 1); no coordinate is 0
// or 1. The same seed and replicate give the same points; other replicates of a
// seed are independent, so that their scatter tells the error of a mean.
// Source: matousek-1998 (linear scrambling with a digital shift).
func (s *Sobol) Scrambled(seed uint64, replicate int) *Sobol {
	r := rand.New(rand.NewPCG(seed, uint64(replicate)))
	out := &Sobol{direction: make([][sobolBits]uint32, len(s.direction)), shift: make([]uint32, len(s.direction)), centre: 0.5}
	for d := range s.direction {
		// Row i of a lower triangular matrix with ones on its diagonal makes
		// digit i of the digits before it and its own.
		var row [sobolBits]uint32
		for i := range row {
			own := uint32(1) << (sobolBits - 1 - i)
			row[i] = r.Uint32()&^(own<<1-1) | own
		}
		for k, v := range s.direction[d] {
			var w uint32
			for i, m := range row {
				w |= uint32(bits.OnesCount32(m&v)&1) << (sobolBits - 1 - i)
			}
			out.direction[d][k] = w
		}
		out.shift[d] = r.Uint32()
	}
	return out
}

// Dimensions returns the number of coordinates.
func (s *Sobol) Dimensions() int { return len(s.direction) }

// At writes the coordinates of point n to x, which has one place for each.
func (s *Sobol) At(n uint32, x []float64) {
	gray := n ^ n>>1
	for d := range x {
		v := s.shift[d]
		for g := gray; g != 0; g &= g - 1 {
			v ^= s.direction[d][bits.TrailingZeros32(g)]
		}
		x[d] = (float64(v) + s.centre) / (1 << sobolBits)
	}
}

// directions returns the direction numbers of all coordinates that the table
// holds. Those of the first are the powers of one half; those of the others
// follow from the primitive polynomial x^s + a_1·x^(s−1) + … + 1 and its first
// s odd numbers m by
//
//	m_k = 2·a_1·m_(k−1) ⊕ … ⊕ 2^(s−1)·a_(s−1)·m_(k−s+1) ⊕ 2^s·m_(k−s) ⊕ m_(k−s)
var directions = sync.OnceValue(func() [][sobolBits]uint32 {
	out := make([][sobolBits]uint32, 1, SobolDimensionsMax)
	for k := range sobolBits {
		out[0][k] = 1 << (sobolBits - 1 - k)
	}
	rows, err := csv.NewReader(strings.NewReader(sobolTable)).ReadAll()
	if err != nil {
		panic("num: sobol table: " + err.Error())
	}
	for _, r := range rows[1:] {
		var v [sobolBits]uint32
		s, a := tableNumber(r[1]), tableNumber(r[2])
		for k, m := range strings.Fields(r[3]) {
			v[k] = uint32(tableNumber(m)) << (sobolBits - 1 - k)
		}
		for k := s; k < sobolBits; k++ {
			v[k] = v[k-s] ^ v[k-s]>>s
			for j := 1; j < s; j++ {
				if a>>(s-1-j)&1 == 1 {
					v[k] ^= v[k-j]
				}
			}
		}
		out = append(out, v)
	}
	return out
})

func tableNumber(text string) int {
	n, err := strconv.Atoi(text)
	if err != nil {
		panic("num: sobol table: " + err.Error())
	}
	return n
}
