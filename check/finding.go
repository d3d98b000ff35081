package check

// Severity ranks findings.
type Severity uint8

// Severities, in rising order.
const (
	Note    Severity = iota // worth knowing
	Warning                 // near a limit, or a limit that the builder may pass knowingly
	Failure                 // breaks a limit: the option does not fit
	Safety                  // can hurt people: acknowledged by name, never switched off
)

// Finding is one statement about a design: a rule, the value found, the limit
// and the margin. Words are made from the fields by the one who shows it.
type Finding struct {
	Rule     string   `json:"rule"`     // stable name, "mass.axle.rear"
	Budget   string   `json:"budget"`   // mass, space, voltage, money, range, current, supply, safety
	Subject  string   `json:"subject"`  // what it is about: "rear axle load"
	Value    Figure   `json:"value"`    //
	Limit    Figure   `json:"limit"`    //
	Margin   float64  `json:"margin"`   // (limit − value)/limit, negative when broken; sign turned for lower limits
	Severity Severity `json:"severity"` //
	Remedy   string   `json:"remedy,omitempty"`
	Source   string   `json:"source"` // source key
}

// Broken reports whether the finding says that the design does not hold.
func (f Finding) Broken() bool { return f.Severity == Failure }

// Input is one input of a working.
type Input struct {
	Symbol string `json:"symbol"` // as in the formula, "m"
	Name   string `json:"name"`   // "test mass"
	Value  Figure `json:"value"`
	Source string `json:"source,omitempty"` // source key, or "given" with Pos, or name of another working
	Pos    Pos    `json:"pos,omitzero"`
}

// Working shows how a number came about.
type Working struct {
	Name    string  `json:"name"`    // stable name, "range"
	Formula string  `json:"formula"` // plain text
	Inputs  []Input `json:"inputs"`
	Result  Figure  `json:"result"`
	Source  string  `json:"source"` // source key of the method
}

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
