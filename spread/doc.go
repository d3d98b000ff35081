// Package spread says how sure a figure is: it draws the uncertain inputs of a
// design again and again, computes the design for each draw, and tells between
// what values the outcome lies and which input makes most of that.
//
// # Distributions
//
// An input given as a ± t is normal with the standard deviation t. One given as
// a ± t max, or as a range, is uniform over its band. One with measured values
// follows them: the linear interpolation between the order statistics. Normal
// and band are cut at the values that the field accepts, and the share of the
// distribution that was cut off is told. Inputs are independent.
//
//	x = F⁻¹(F(low) + u·(F(high) − F(low))),  0 < u < 1
//
// # Samples
//
// The numbers u are points of a Sobol sequence in twice as many coordinates as
// there are inputs, scrambled and shifted at random by the seed (package
// internal/num). The first half of the coordinates makes a row of matrix A, the
// second half one of matrix B. The rows are shared out over eight independent
// scrambles of the same length, a power of two.
//
// # Outcome
//
// P10, P50 and P90 are the values that are not exceeded in 10, 50 and 90 of 100
// draws, over all rows of A and B. With A_B^(i), which is A with column i of B,
// the variance V and the mean f0 over both, and N rows:
//
//	S_i = (1/N)·Σ (f(B) − f0)·(f(A_B^(i)) − f(A)) / V      first-order share
//	T_i = (1/2N)·Σ (f(A) − f(A_B^(i)))² / V                total share
//
// S_i is what the variance would lose on average if input i were known; T_i is
// what would be left if all others were known. They are equal where inputs only
// add. N·(k+2) runs serve k inputs.
//
// Standard errors are those of the mean of the eight scrambles. How P10, P50, P90
// and the shares settled is told with a quarter, a half and all of the rows.
// The same seed gives the same figures to the last bit, with any number of
// workers.
//
// # Hottest cell and charge time
//
// They are drawn in a study of their own, with an eighth of the rows and at least
// 64, since each run costs some ten range runs (design.PackVariant): the heat of
// the range run goes through the network of the pack, a minute at a time, without
// what warm cells do back to the circuit, and one group with its share of the
// power is charged in the place of all. A draw that takes no charge counts as 72
// hours, and shares of the charge time are then left out.
//
// # Assumptions and range
//
// Nothing is known about how inputs go together: a heavy load and a low tyre
// pressure are drawn apart. A share says nothing about a value that no spread was
// stated for. At most 128 inputs. Quantiles further out than P10 and P90 want
// more rows than the default.
//
// # Sources
//
// Saltelli and others 2010 (matrices and S_i); Jansen 1999 (T_i); Homma and
// Saltelli 1996 (total share); Joe and Kuo 2008, Matousek 1998 (points); Hyndman
// and Fan 1996 (quantiles of a sample).
package spread
