package server

import (
	"encoding/json"

	"packyard/check"
	"packyard/design"
	"packyard/project"
	"packyard/unit"
)

// State is what every page shows.
type State struct {
	Start       string       `json:"start"`    // names this start of the server
	Revision    int64        `json:"revision"` // rises with every change
	Present     bool         `json:"present"`  // there is a project in the folder
	Folder      string       `json:"folder"`
	Project     string       `json:"project"`
	Invented    bool         `json:"invented_data"`
	Currency    string       `json:"currency"`
	Schedule    string       `json:"schedule"`
	RankBy      string       `json:"rank_by"`
	Chosen      string       `json:"chosen"` // option fixed by the builder, or ""
	Undo        int          `json:"undo"`
	Redo        int          `json:"redo"`
	Broken      *ProblemList `json:"broken,omitempty"` // faults of an outside edit
	Failed      string       `json:"failed,omitempty"` // why the project cannot be computed with
	Headline    *Headline    `json:"headline"`
	Search      SearchState  `json:"search"`
	Assumptions int          `json:"assumptions"`
	Clients     int          `json:"clients"` // open pages
}

// Headline is the option that is built, or leads, in a line: what stands on top
// of every page.
type Headline struct {
	Revision   int64           `json:"revision"`
	Option     string          `json:"option"`
	Chosen     bool            `json:"chosen"` // by the builder; else it leads
	Verdict    string          `json:"verdict"`
	Budgets    []design.Budget `json:"budgets"`
	Range      unit.Length     `json:"range_m"`
	RangeEnd   unit.Length     `json:"range_end_of_life_m"`
	Schedule   string          `json:"schedule"`
	Capped     bool            `json:"schedule_capped"`
	Margin     float64         `json:"worst_margin"` // dimensionless
	MarginRule string          `json:"worst_margin_rule"`
	Failures   int             `json:"failures"` // findings that break a limit
	Warnings   int             `json:"warnings"`
	Safety     int             `json:"safety"`
	Mass       unit.Mass       `json:"mass_kg"` // of the vehicle in its heaviest load case
	AxleFront  unit.Mass       `json:"axle_front_kg"`
	AxleRear   unit.Mass       `json:"axle_rear_kg"`
	Micros     int64           `json:"micros"` // time that this took, in millionths of a second
}

// SearchState is how far the search for options is.
type SearchState struct {
	Revision   int64  `json:"revision"` // of the newest finished search; 0: none yet
	Running    bool   `json:"running"`
	Done       int    `json:"done"`
	Total      int    `json:"total"`
	Error      string `json:"error,omitempty"`
	Millis     int64  `json:"millis"` // time that the newest finished one took, in thousandths of a second
	Candidates int    `json:"candidates"`
	Fits       int    `json:"options_that_fit"`
}

// Change is the event that something was changed.
type Change struct {
	Revision int64    `json:"revision"`
	By       string   `json:"by"` // "edit", "undo", "redo", "outside", "new"
	Client   string   `json:"by_client"`
	Parts    []string `json:"parts"` // top keys of the file, "parts" and "routes" for the folders
	Paths    []string `json:"paths"`
	Undo     int      `json:"undo"`
	Redo     int      `json:"redo"`
	Project  string   `json:"project"`
	Chosen   string   `json:"chosen"`
	RankBy   string   `json:"rank_by"`
	Schedule string   `json:"schedule"`

	Headline *Headline `json:"headline,omitempty"` // of the new state, when it was worked out in time; else it follows as an event
	Answers  []Answer  `json:"answers,omitempty"`  // to what pages ask for after a change, so that they need not
}

// Answer is what GET of a path answers now.
type Answer struct {
	Path string          `json:"path"`
	Body json.RawMessage `json:"body"`
}

// fill takes over what every page shows.
func (c *Change) fill(p *project.Project) {
	if p == nil {
		return
	}
	b := &p.Brief
	c.Project, c.Chosen, c.RankBy, c.Schedule = b.Title, b.Choose.Option, b.Choose.RankBy, b.Targets.Schedule.ID
	if c.Paths == nil {
		c.Paths = []string{}
	}
	if c.Parts == nil {
		c.Parts = []string{}
	}
}

// Assessed is the event that an assessment is ready.
type Assessed struct {
	Revision int64  `json:"revision"`
	Option   string `json:"option"`
}

// Progress is the event that a search came further.
type Progress struct {
	Revision int64 `json:"revision"`
	Done     int   `json:"done"`
	Total    int   `json:"total"`
	Preview  bool  `json:"preview"` // of a relaxation that is only looked at
}

// Failed is the event that a project reads but cannot be computed with.
type Failed struct {
	Revision int64  `json:"revision"`
	Message  string `json:"message"`
}

// ProblemList is what is wrong in the files.
type ProblemList struct {
	Problems []check.Problem `json:"problems"`
	More     int             `json:"more"` // found beyond those listed
}

func problemsOf(p *check.Problems) *ProblemList {
	if p == nil {
		return nil
	}
	return &ProblemList{Problems: append([]check.Problem{}, p.List...), More: p.More}
}

// EditRequest is a change asked for by a page.
type EditRequest struct {
	Base   int64        `json:"base"` // revision that the page showed
	Client string       `json:"client,omitempty"`
	Force  bool         `json:"force,omitempty"` // although others changed the same places
	Ops    []project.Op `json:"ops"`
}

// EditReply says that a change was made.
type EditReply struct {
	Revision int64 `json:"revision"`
	Merged   bool  `json:"merged"` // others had changed other places since the base
	Undo     int   `json:"undo"`
	Redo     int   `json:"redo"`
}

// StepRequest asks for the state before or after.
type StepRequest struct {
	Base   int64  `json:"base"`
	Client string `json:"client,omitempty"`
}

// NewRequest asks for a project in the empty folder.
type NewRequest struct {
	Client string       `json:"client,omitempty"`
	Title  string       `json:"title"`
	Ops    []project.Op `json:"ops"`
}

// ErrorReply is the answer to what could not be done.
type ErrorReply struct {
	Error APIError `json:"error"`
}

// APIError says what could not be done, and why.
type APIError struct {
	Kind      string          `json:"kind"`
	Message   string          `json:"message"`
	Hint      string          `json:"hint,omitempty"`
	Problems  []check.Problem `json:"problems,omitempty"`
	More      int             `json:"more,omitempty"`
	Conflicts []Conflict      `json:"conflicts,omitempty"`
	Revision  int64           `json:"revision,omitempty"` // the present one, of a conflict
}

// Conflict is one place that someone else has changed too, with the texts to
// choose from; null: not there.
type Conflict struct {
	Path   string  `json:"path"`
	Base   *string `json:"base"`
	Theirs *string `json:"theirs"`
	Yours  *string `json:"yours"`
}
