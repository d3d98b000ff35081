package vehicle

import (
	"fmt"
	"math"

	"packyard/check"
	"packyard/unit"
)

// marginNear is the margin below which a rating that holds is a warning: a
// workshop scale is good to about one or two per cent. Common practice.
const marginNear = 0.02

// Check holds a state against the ratings of the donor and returns one finding
// for each rating given, in the order gross mass, front axle, rear axle, front
// tyre, rear tyre, and one for each wheel that carries less than nothing.
//
// Rules: mass.gross, mass.axle.front, mass.axle.rear, mass.tyre.front,
// mass.tyre.rear (the heavier wheel of the axle), mass.wheel.lifted. All are of
// the budget "mass" with the source "donor-rating".
//
// Severity: Failure when the value is over the limit; Warning when it holds but
// not over the whole of State.Tolerance, or with less than 2 % left; else Note.
// The remedy says which, and whether a failure holds over the whole tolerance
// band or the lower end of the band would pass.
func (d *Donor) Check(s State) []check.Finding {
	tol := s.Tolerance()
	frontLeft, rearLeft := s.WheelFrontLeft >= s.WheelFrontRight, s.WheelRearLeft >= s.WheelRearRight
	rules := []struct {
		rule, subject     string
		value, limit, tol unit.Mass
	}{
		{"mass.gross", "mass", s.Mass, d.Ratings.GrossMass, tol.Mass},
		{"mass.axle.front", "front axle load", s.AxleFront, d.Ratings.AxleFront, tol.AxleFront},
		{"mass.axle.rear", "rear axle load", s.AxleRear, d.Ratings.AxleRear, tol.AxleRear},
		{"mass.tyre.front", side(frontLeft, "load of the front left tyre", "load of the front right tyre"),
			max(s.WheelFrontLeft, s.WheelFrontRight), d.Ratings.TyreFront, side(frontLeft, tol.WheelFrontLeft, tol.WheelFrontRight)},
		{"mass.tyre.rear", side(rearLeft, "load of the rear left tyre", "load of the rear right tyre"),
			max(s.WheelRearLeft, s.WheelRearRight), d.Ratings.TyreRear, side(rearLeft, tol.WheelRearLeft, tol.WheelRearRight)},
	}
	var out []check.Finding
	for _, r := range rules {
		if r.limit == 0 {
			continue
		}
		f := check.Finding{
			Rule: r.rule, Budget: "mass", Subject: r.subject + " in state " + s.Name,
			Value: check.Of(r.value), Limit: check.Of(r.limit),
			Margin: float64(margin(float64(r.value), float64(r.limit))), Source: "donor-rating",
		}
		f.Severity, f.Remedy = judge(r.value, r.limit, r.tol)
		limit := float64(r.limit)
		f.Over = check.HoldsOver(func(x []float64) bool { return x[0] <= limit },
			check.Span{Low: float64(r.value - r.tol), High: float64(r.value + r.tol)})
		out = append(out, f)
	}
	return append(out, s.lift()...)
}

func side[T any](left bool, l, r T) T {
	if left {
		return l
	}
	return r
}

// judge returns the severity of a value against an upper limit and the words
// that say what to do about it.
func judge(value, limit, tol unit.Mass) (check.Severity, string) {
	over, band := value-limit, fmt.Sprintf("±%.1f kg", tol.Kilograms())
	switch {
	case over > 0 && tol > 0 && over <= tol:
		return check.Failure, fmt.Sprintf("take %.1f kg off; weigh again, since the lower end of the tolerance of %s would pass", over.Kilograms(), band)
	case over > 0 && tol > 0:
		return check.Failure, fmt.Sprintf("take %.1f kg off; it fails over the whole tolerance of %s", over.Kilograms(), band)
	case over > 0:
		return check.Failure, fmt.Sprintf("take %.1f kg off", over.Kilograms())
	case tol > 0 && over+tol > 0:
		return check.Warning, fmt.Sprintf("holds at the value but not over its tolerance of %s: weigh again", band)
	case float64(-over) < marginNear*float64(limit):
		return check.Warning, fmt.Sprintf("only %.1f kg left", -over.Kilograms())
	case tol > 0:
		return check.Note, "holds over the whole tolerance of " + band
	}
	return check.Note, ""
}

// lift returns a failure for each wheel that carries less than nothing, which
// is a mistake in the ledger or a vehicle that tips over.
func (s State) lift() []check.Finding {
	var out []check.Finding
	slack := loadSlack * math.Abs(s.Mass.Kilograms())
	for i, v := range s.Loads().list() {
		if i < 3 || v.Kilograms() >= -slack {
			continue
		}
		out = append(out, check.Finding{
			Rule: "mass.wheel.lifted", Budget: "mass", Subject: "load of the " + loadNames[i] + " in state " + s.Name,
			Value: check.Of(v), Limit: check.Of(unit.Mass(0)), Margin: v.Kilograms() / math.Max(math.Abs(s.Mass.Kilograms())/4, 1),
			Severity: check.Failure, Remedy: "look for a wrong mass or position in the ledger", Source: "common-practice",
		})
	}
	return out
}
