package check

import (
	"math"

	"packyard/unit"
)

// Finding is one statement about a design: a rule, the value found, the limit
// and the margin. Words are made from the fields by the one who shows it.
type Finding struct {
	Rule     string   `json:"rule"`     // stable name, "mass.axle.rear"
	Budget   string   `json:"budget"`   // mass, space, voltage, money, range, current, supply, safety
	Subject  string   `json:"subject"`  // what it is about: "rear axle load"
	Value    Figure   `json:"value"`    //
	Limit    Figure   `json:"limit"`    // zero: a remark, compared with nothing
	Margin   float64  `json:"margin"`   // dimensionless: (limit − value)/limit, negative when broken; sign turned for lower limits, see Against
	Severity Severity `json:"severity"` //
	Remedy   string   `json:"remedy,omitempty"`
	Source   string   `json:"source"`               // source key
	Over     Hold     `json:"over_spread,omitzero"` // whether the verdict holds over the stated spread of the inputs

	Acknowledged Acknowledgement `json:"acknowledged,omitzero"` // of a safety finding, by a person
}

// Text prints the finding in words made from its fields: "failure: rear axle
// load: 1023 kg against a limit of 950 kg, 7.7 % beyond it; move modules
// forward (source: …)".
func (f Finding) Text(s unit.System) string {
	t := f.Severity.String() + ": " + f.Subject
	switch {
	case f.Value.IsZero():
	case f.Limit.IsZero():
		t += ": " + f.Value.Text(s)
	default:
		value, limit := Apart(f.Value, f.Limit, s)
		t += ": " + value + " against a limit of " + limit + ", " + Percent(math.Abs(f.Margin))
		if f.Margin < 0 {
			t += " beyond it"
		} else {
			t += " left"
		}
	}
	switch f.Over {
	case Always:
		t += ", kept over the whole stated spread"
	case Partly:
		t += ", kept over a part of the stated spread only"
	case Never:
		t += ", broken over the whole stated spread"
	}
	if f.Remedy != "" {
		t += "; " + f.Remedy
	}
	if a := f.Acknowledged; a.By != "" {
		t += "; acknowledged by " + a.By
		if a.Date != "" {
			t += " on " + a.Date
		}
		t += ": " + a.Reason
	}
	if f.Source != "" {
		t += " (source: " + SourceTitle(f.Source) + ")"
	}
	return t
}

// Broken reports whether the finding says that the design does not hold.
func (f Finding) Broken() bool { return f.Severity == Failure }

// Assumption is a value that the builder did not give.
type Assumption struct {
	Subject string `json:"subject"` // "road.rolling_coefficient"
	Value   Figure `json:"value"`
	Source  string `json:"source"` // source key
}

// Assumptions is the list that the report prints. A nil list records nothing.
type Assumptions struct{ List []Assumption }

// Add records a once; the same subject twice keeps the first.
func (l *Assumptions) Add(a Assumption) {
	if l == nil {
		return
	}
	for _, b := range l.List {
		if b.Subject == a.Subject {
			return
		}
	}
	l.List = append(l.List, a)
}
