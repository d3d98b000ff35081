package schedule

import (
	"embed"
	"encoding/csv"
	"errors"
	"fmt"
	"strconv"
	"strings"

	"packyard/internal/sheet"
	"packyard/unit"
)

//go:embed data/*.csv
var data embed.FS

// ErrUnknown says that no schedule has the name asked for.
var ErrUnknown = errors.New("not a known schedule")

// The soak of the FTP-75 between its second and third part, and the length of
// the part that is driven again. Source: cfr-40-86-app-i.
const (
	ftpSoak   = 10 * unit.Minute
	ftpRepeat = 505 * unit.Second
)

const idFTP75 = "ftp-75"

// IDs returns the names of the built-in schedules in their order.
func IDs() []string {
	var ids []string
	for _, row := range table("schedules.csv") {
		ids = append(ids, row[0])
		if row[0] == "us06" {
			ids = append(ids, idFTP75)
		}
	}
	return ids
}

// BuiltIn returns a fresh copy of every built-in schedule, in one-second steps.
// It panics when an embedded table is broken, which a test excludes.
func BuiltIn() []*Schedule {
	var all []*Schedule
	for _, id := range IDs() {
		s, err := Find(id)
		if err != nil {
			panic(err)
		}
		all = append(all, s)
	}
	return all
}

// Find returns a fresh copy of the built-in schedule of that name. The error is
// ErrUnknown with the nearest name and the list of names.
func Find(id string) (*Schedule, error) {
	if id == idFTP75 {
		return ftp75(), nil
	}
	for _, row := range table("schedules.csv") {
		if row[0] == id {
			return load(row), nil
		}
	}
	ids := IDs()
	return nil, fmt.Errorf("schedule %q: %w: %sknown are %s, and constant speeds such as %q",
		id, ErrUnknown, meant(id, ids), strings.Join(ids, ", "), "constant 60 km/h")
}

// ftp75 is the UDDS, ten minutes switched off, and the first 505 s again. The
// soak is left out of the time axis: the vehicle draws nothing during it.
func ftp75() *Schedule {
	udds, err := Find("udds")
	if err != nil {
		panic(err)
	}
	again, err := udds.Between(0, ftpRepeat)
	if err != nil {
		panic(err)
	}
	end := unit.Time(udds.Time[len(udds.Time)-1])
	s := udds.Append(again)
	s.ID, s.Title = idFTP75, "FTP-75: UDDS, soak of 10 min, first 505 s again"
	s.Phases = []Phase{
		{Name: "cold start", From: 0, To: ftpRepeat, Source: s.Source},
		{Name: "stabilised", From: ftpRepeat, To: end, Source: s.Source},
		{Name: "hot start", From: end, To: end + ftpRepeat, Source: s.Source},
	}
	s.Soaks = []Soak{{At: end, Duration: ftpSoak}}
	s.Notes = append(s.Notes, "the soak of 10 min at 1369 s is left out of the time: the vehicle is switched off and draws nothing")
	return s
}

// load reads one schedule of the embedded index.
func load(index []string) *Schedule {
	s := &Schedule{ID: index[0], Title: index[1], Source: index[2]}
	if index[3] != "" {
		s.Notes = []string{index[3]}
	}
	head, rows := tableWithHead(s.ID + ".csv")
	factor := 1.0
	switch head[1] {
	case "speeds_kmh":
		factor = float64(unit.KilometrePerHour)
	case "speeds_mph":
		factor = mph
	default:
		panic("schedule: " + s.ID + ": column " + head[1])
	}
	for _, row := range rows {
		if from := number(row[0]); from != float64(len(s.Time)) {
			panic(fmt.Sprintf("schedule: %s: line from %g s after %d rows", s.ID, from, len(s.Time)))
		}
		for field := range strings.FieldsSeq(row[1]) {
			s.Time = append(s.Time, float64(len(s.Time)))
			s.Speed = append(s.Speed, number(field)*factor)
		}
	}
	for _, row := range table("phases.csv") {
		if row[0] == s.ID {
			s.Phases = append(s.Phases, Phase{Name: row[1], From: unit.Time(number(row[2])), To: unit.Time(number(row[3])), Source: row[4]})
		}
	}
	return s
}

// mph is one mile per hour in m/s, exact. Source: nist-sp811.
const mph = 0.44704

func number(text string) float64 {
	v, err := strconv.ParseFloat(text, 64)
	if err != nil {
		panic(err)
	}
	return v
}

func table(name string) [][]string {
	_, rows := tableWithHead(name)
	return rows
}

func tableWithHead(name string) (head []string, rows [][]string) {
	f, err := data.Open("data/" + name)
	if err != nil {
		panic(err)
	}
	defer f.Close()
	all, err := csv.NewReader(f).ReadAll()
	if err != nil {
		panic(err)
	}
	return all[0], all[1:]
}

// meant is the question after the name that word may stand for, or nothing.
func meant(word string, ids []string) string {
	word = strings.ToLower(strings.TrimSpace(word))
	guess := sheet.Nearest(word, ids)
	for _, id := range ids {
		if word != "" && strings.HasPrefix(id, word) {
			guess = id
			break
		}
	}
	if guess == "" {
		return ""
	}
	return fmt.Sprintf("did you mean %q? ", guess)
}

func listOr(list []string, none string) string {
	if len(list) == 0 {
		return none
	}
	return strings.Join(list, ", ")
}
