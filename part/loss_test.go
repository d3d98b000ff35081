package part

import (
	"math"
	"strconv"
	"testing"

	"packyard/check/checktest"
	"packyard/internal/num"
	"packyard/unit"
)

const (
	book  = "Larminie and Lowry, Electric Vehicle Technology Explained, eq. 8.25, catalogue check CW-02"
	paper = "Mahmoudi, Soong, Pellegrino, Armando, IEEE ECCE 2015, Tables III and IV"
)

func unitOf(t testing.TB, id string) *DriveUnit {
	t.Helper()
	u := BuiltIn().DriveUnit(id)
	if u == nil {
		t.Fatalf("no drive unit %q in the catalogue", id)
	}
	return u
}

func TestTextbookLossMeetsPublishedPoints(t *testing.T) {
	t.Parallel()
	for _, c := range []struct {
		id               string
		torque, speed    float64 // N·m, rad/s
		loss, efficiency float64 // W, 1; six digits are printed
	}{
		{"generic-induction-100kw", 78, 625, 3652.15, 0.930305},
		{"generic-induction-100kw", 50, 500, 1980, 0.926612},
		{"generic-induction-100kw", 150, 300, 7488, 0.857339},
		{"generic-induction-100kw", 20, 1000, 5730, 0.777303},
		{"generic-brushed-pm-5kw", 8, 180, 192.32, 0.88218},
		{"generic-brushed-pm-5kw", 15, 200, 457.5, 0.867679},
	} {
		u, torque, speed := unitOf(t, c.id), unit.Torque(c.torque), unit.AngularSpeed(c.speed)
		checktest.Near(t, c.id+" loss, W", float64(u.LossAt(torque, speed)), c.loss, 0, 2e-6, book)
		checktest.Near(t, c.id+" efficiency", float64(u.Efficiency(torque, speed)), c.efficiency, 0, 1e-6, book)
	}
}

func TestBestEfficiencyOfEachClassIsThePublishedOne(t *testing.T) {
	t.Parallel()
	for _, c := range []struct {
		id, source string
		best, tol  float64
	}{
		{"generic-brushed-pm-5kw", "catalogue sources 1.1 (three digits)", 0.882, 0.001},
		{"generic-induction-100kw", "catalogue sources 1.1 (three digits)", 0.930, 0.001},
		{"generic-interior-magnet-50kw", "Mahmoudi et al., IEEE ECCE 2015: peak 96 % (two digits)", 0.96, 0.005},
		{"generic-surface-magnet-50kw", "Mahmoudi et al., IEEE ECCE 2015: about 96 %", 0.96, 0.005},
		{"generic-interior-magnet-extended", "Mahmoudi et al., IEEE ECCE 2015: peak 96 %; the least winding loss lies below the true one", 0.96, 0.012},
		{"generic-car-unit-80kw", "Oak Ridge reports on the car motor of 2011: 97 % (from memory)", 0.97, 0.01},
	} {
		u, best := unitOf(t, c.id), 0.0
		for i := 1; i <= 200; i++ {
			speed := u.SpeedMax * unit.AngularSpeed(i) / 200
			limit := u.TorqueMax(speed, u.VoltageRef, 0)
			for j := 1; j <= 200; j++ {
				best = max(best, float64(u.Efficiency(limit*unit.Torque(j)/200, speed)))
			}
		}
		checktest.Near(t, c.id+" best efficiency", best, c.best, c.tol, 0, c.source)
	}
}

// polynomial is one of the published loss polynomials,
// 8 kW·Σ k·(T/250 N·m)^m·(n/12 000 rpm)^q.
type polynomial []struct{ k, m, q float64 }

func (p polynomial) at(torque, rpm float64) float64 {
	sum := 0.0
	for _, c := range p {
		sum += c.k * math.Pow(torque/250, c.m) * math.Pow(rpm/12000, c.q)
	}
	return 8000 * sum
}

func readPolynomial(t *testing.T, machine, region string) polynomial {
	t.Helper()
	rows := checktest.Table(t, checktest.Reference(t, "catalogue_motor_loss_polynomials.csv"))
	var p polynomial
	for _, r := range rows[1:] {
		if r[0] != machine || r[1] != region {
			continue
		}
		var c struct{ k, m, q float64 }
		for i, into := range []*float64{&c.m, &c.q, &c.k} {
			v, err := strconv.ParseFloat(r[2+i], 64)
			if err != nil {
				t.Fatal(err)
			}
			*into = v
		}
		p = append(p, c)
	}
	if len(p) != 10 && len(p) != 9 && len(p) != 7 {
		t.Fatalf("%s, %s: %d coefficients", machine, region, len(p))
	}
	return p
}

func TestPublishedPolynomialsGiveTheirCheckPoints(t *testing.T) {
	t.Parallel()
	interior := readPolynomial(t, "ipm_50kw", "constant-torque region")
	surface := readPolynomial(t, "spm_50kw", "whole range")
	for _, c := range []struct {
		p                  polynomial
		torque, rpm, watts float64
	}{
		{interior, 160, 0, 3137.31}, {interior, 100, 3000, 1609.3},
		{surface, 100, 5000, 2153.51}, {surface, 60, 8000, 2867.16}, {surface, 80, 7600, 2841.13},
	} {
		checktest.Near(t, "loss, W", c.p.at(c.torque, c.rpm), c.watts, 0, 2e-6, paper+", catalogue check CW-03")
	}
}

// TestCatalogueConstantsAreTheFitToThePublishedPolynomials repeats the fits of
// catalogue check CW-01 on the same 518 and 690 points and compares the check,
// the fit and the catalogue.
func TestCatalogueConstantsAreTheFitToThePublishedPolynomials(t *testing.T) {
	t.Parallel()
	for _, c := range []struct {
		id, machine, region           string
		torqueMax, rpmMin, rpmMax, kW float64
		points                        int
		want                          []float64 // k_c, k_i, k_w, C where fitted
		rms                           float64   // W, printed without decimals
	}{
		{"generic-interior-magnet-50kw", "ipm_50kw", "constant-torque region", 200, 250, 3500, 1e9, 518, []float64{0.116813, 0.645257, 8.30552e-07, 158.819}, 63},
		{"generic-surface-magnet-50kw", "spm_50kw", "whole range", 150, 500, 12000, 50, 690, []float64{0.130028, 1.24347, 2.41504e-06}, 99},
	} {
		p := readPolynomial(t, c.machine, c.region)
		u := unitOf(t, c.id)
		var rows [][]float64
		var losses []float64
		square := 0.0
		for torque := 20.0; torque <= c.torqueMax; torque += 5 {
			for rpm := c.rpmMin; rpm <= c.rpmMax; rpm += 250 {
				w := rpm * math.Pi / 30
				if torque*w > c.kW*1000 {
					continue
				}
				rows = append(rows, []float64{torque * torque, w, w * w * w, 1}[:len(c.want)])
				losses = append(losses, p.at(torque, rpm))
				d := float64(u.LossAt(unit.Torque(torque), unit.AngularSpeed(w))) - p.at(torque, rpm)
				square += d * d
			}
		}
		if len(rows) != c.points {
			t.Errorf("%s: %d points, the published fit has %d", c.id, len(rows), c.points)
			continue
		}
		fit, err := num.LeastSquares(rows, losses)
		if err != nil {
			t.Fatal(err)
		}
		for i, tol := range []float64{0.002, 0.002, 0.005, 0.002}[:len(c.want)] {
			checktest.Near(t, c.id+" constant", fit.Coef[i], c.want[i], 0, tol, paper+", catalogue check CW-01")
		}
		got := []float64{u.Loss.KCopper, u.Loss.KIron, u.Loss.KWindage, float64(u.Loss.Constant)}
		for i := range c.want {
			checktest.Near(t, c.id+" constant of the catalogue (four digits)", got[i], c.want[i], 0, 0.005, paper+", catalogue check CW-01")
		}
		checktest.Near(t, c.id+" rms residual, W", math.Sqrt(square/float64(len(rows))), c.rms, 1, 0, "catalogue_motor_loss_constants.csv (whole watts)")
	}
}

func TestCopperConstantsMeetThePrintedContinuousTorque(t *testing.T) {
	t.Parallel()
	const source = "Mahmoudi et al., IEEE ECCE 2015, Table II: 160 N·m (interior) and 110 N·m (induction) at 3.2 kW loss"
	interior := unitOf(t, "generic-interior-magnet-50kw")
	checktest.Near(t, "interior magnet at 160 N·m, W", float64(interior.LossAt(160, 0)), 3200, 0, 0.03, source+"; fit, rms 63 W")
	// Two sources for two machines: the book's class is the larger by 13 %.
	induction := unitOf(t, "generic-induction-100kw")
	checktest.Near(t, "induction, copper only, W", induction.Loss.KCopper*110*110, 3200, 0, 0.15, source)
}

func TestExtendedGridIsTheStatedLawAndAboveTheLeastWindingLoss(t *testing.T) {
	t.Parallel()
	u := unitOf(t, "generic-interior-magnet-extended")
	base := unitOf(t, "generic-interior-magnet-50kw").Loss
	const ohms, line = 0.027, 212.0
	for i, w := range u.Loss.Grid.Speed {
		for j, torque := range u.Loss.Grid.Torque {
			winding := max(base.KCopper*torque*torque, 3*ohms*math.Pow(torque*w/(math.Sqrt(3)*line), 2))
			want := winding + base.KIron*w + base.KWindage*w*w*w + float64(base.Constant)
			checktest.Near(t, "grid, W", u.Loss.Grid.Loss[i][j], want, 0.51, 0, "law stated in data/drive_units.yaml, whole watts; "+paper)
		}
	}
	w := unit.AngularSpeed(7600 * math.Pi / 30)
	floor := 3 * ohms * math.Pow(80*float64(w)/(math.Sqrt(3)*line), 2)
	checktest.Near(t, "least winding loss at 80 N·m and 7 600 rpm, W", floor, 2435.32, 0, 0.001, "catalogue check CW-03")
	if loss := float64(u.LossAt(80, w)); loss < floor {
		t.Errorf("loss %.0f W at 80 N·m and 7 600 rpm lies below the least winding loss %.0f W", loss, floor)
	}
}

func TestSeriesMotorMeetsItsPublishedChartPoint(t *testing.T) {
	t.Parallel()
	const source = "maker chart of an 11 inch series motor at 72 V quoted by builders, catalogue check CW-15: 10 lbf·ft at 3 919 rpm, 96.8 A"
	torque := unit.Torque(10 * 4.4482216152605 * 0.3048)
	speed := unit.AngularSpeed(3919 * math.Pi / 30)
	checktest.Near(t, "shaft power, W", float64(torque)*float64(speed), 5564.23, 0, 1e-4, source)
	u := unitOf(t, "generic-series-brushed-144v")
	checktest.Near(t, "efficiency", float64(u.Efficiency(torque, speed)), 0.798357, 0.005, 0, source+"; like_speed is a round number")
}

func TestInductionGridFileIsTheTextbookLaw(t *testing.T) {
	t.Parallel()
	rows := checktest.Table(t, checktest.Reference(t, "catalogue_motor_loss_grid.csv"))
	surface := readPolynomial(t, "spm_50kw", "whole range")
	induction, seen := unitOf(t, "generic-induction-100kw"), 0
	for _, r := range rows[1:] {
		var v [3]float64
		for i, s := range []string{r[1], r[2], r[4]} {
			x, err := strconv.ParseFloat(s, 64)
			if err != nil {
				t.Fatal(err)
			}
			v[i] = x
		}
		switch r[0] {
		case "induction_100kw_fast":
			seen++
			got := induction.LossAt(unit.Torque(v[1]), unit.AngularSpeed(v[0]*math.Pi/30))
			checktest.Near(t, "induction loss, W", float64(got), v[2], 0.5001, 0, "catalogue_motor_loss_grid.csv (whole watts)")
		case "spm_50kw":
			checktest.Near(t, "surface-magnet loss, W", surface.at(v[1], v[0]), v[2], 0.5001, 0, "catalogue_motor_loss_grid.csv (whole watts)")
		}
	}
	if seen != 129 {
		t.Errorf("%d induction rows, want 129", seen)
	}
}
