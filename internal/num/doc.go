// Package num holds the numerical methods of packyard on plain float64: monotone
// cubic curves with their antiderivative, isotonic regression, bilinear tables,
// linear reading of dense tables, least squares, sparse linear equations, even
// points in many dimensions and quantiles. It is the only door to gonum. It knows no units: every x, y and coefficient has
// the unit that the caller gives it.
//
// Curve is the piecewise cubic Hermite interpolant with the slopes of Fritsch
// and Butland: between two points it never leaves the range of the two values,
// so monotone data give a monotone curve (Fritsch and Butland, SIAM J. Sci.
// Stat. Comput. 5 (1984) 300; source key fritsch-butland-1984). Isotonic is the
// pool-adjacent-violators solution of the least-squares problem under
// y₁ ≤ y₂ ≤ … (Ayer et al. 1955; Barlow et al. 1972; source key
// barlow-1972). Grid is the bilinear form over two axes.
//
// Sobol is the low-discrepancy sequence of Sobol with the direction numbers of
// Joe and Kuo (source key joe-kuo-2008), plain or scrambled (matousek-1998).
//
// Validity: all inputs must be finite, and an x axis strictly increasing;
// otherwise ErrNotFinite, ErrNotIncreasing or ErrLength is returned. Outside
// their axis Curve, Grid and Linear hold the nearest end value.
package num
