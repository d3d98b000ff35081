package check

// Acknowledgement is a person's word that a safety finding is known, and why it is
// borne. It takes nothing away: the finding keeps its severity and stays in every
// list.
type Acknowledgement struct {
	Rule    string `json:"rule"`
	Subject string `json:"subject,omitempty"` // of the finding; "": every finding of the rule
	By      string `json:"by"`
	Reason  string `json:"reason"`
	Date    string `json:"date,omitempty"` // as written
	Pos     Pos    `json:"pos,omitzero"`
}

// Acknowledge writes onto each safety finding of list the acknowledgement that
// names its rule, and its subject where one is named. Findings of other
// severities, and acknowledgements that name none, change nothing.
func Acknowledge(list []Finding, said []Acknowledgement) {
	for i := range list {
		f := &list[i]
		if f.Severity != Safety {
			continue
		}
		for _, a := range said {
			if a.Rule == f.Rule && (a.Subject == "" || a.Subject == f.Subject) {
				f.Acknowledged = a
				break
			}
		}
	}
}

// Open returns the number of safety findings that nobody has acknowledged.
func Open(list []Finding) int {
	n := 0
	for _, f := range list {
		if f.Severity == Safety && f.Acknowledged.By == "" {
			n++
		}
	}
	return n
}
