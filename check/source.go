package check

import (
	_ "embed"
	"encoding/csv"
	"fmt"
	"slices"
	"strings"
	"sync"
)

// Source is one origin of figures. Values carry its key; pages print its title.
type Source struct {
	Key    string `json:"key"`    // short, kebab-case, "larminie-lowry"
	Title  string `json:"title"`  // as published
	Status string `json:"status"` // one of SourceStatuses
	Note   string `json:"note,omitempty"`
}

// SourceStatuses returns the words that say how well the figures of a source
// were seen.
func SourceStatuses() []string {
	return []string{
		"confirmed",             // seen in public material
		"confirmed (community)", // seen, but told by an owner or builder, not by a laboratory
		"from memory",           // believed right, not seen again
		"computed",              // arithmetic from other lines
		"common practice",       // a fact of the trade without a single source
		"assumption",            // nothing published stands behind it
		"given",                 // the builder wrote it
	}
}

//go:embed data/sources.csv
var sourcesCSV string

var sourceTable = sync.OnceValue(func() map[string]Source {
	list, err := readSources(sourcesCSV)
	if err != nil {
		panic("check: embedded sources: " + err.Error()) // held by a test
	}
	table := make(map[string]Source, len(list))
	for _, s := range list {
		table[s.Key] = s
	}
	return table
})

func readSources(text string) ([]Source, error) {
	r := csv.NewReader(strings.NewReader(text))
	r.FieldsPerRecord = 4
	records, err := r.ReadAll()
	if err != nil {
		return nil, err
	}
	if len(records) == 0 || strings.Join(records[0], ",") != "key,title,status,note" {
		return nil, fmt.Errorf("first line is %q, want key,title,status,note", strings.SplitN(text, "\n", 2)[0])
	}
	var out []Source
	for _, f := range records[1:] {
		out = append(out, Source{Key: f[0], Title: f[1], Status: f[2], Note: f[3]})
	}
	return out, nil
}

// Sources returns all sources, sorted by key.
func Sources() []Source {
	var out []Source
	for _, s := range sourceTable() {
		out = append(out, s)
	}
	slices.SortFunc(out, func(a, b Source) int { return strings.Compare(a.Key, b.Key) })
	return out
}

// SourceOf returns the source with the key.
func SourceOf(key string) (Source, bool) {
	s, ok := sourceTable()[key]
	return s, ok
}

// SourceTitle returns the title of the source with the key, or the key itself
// where there is none, so that a page never loses where a figure came from.
func SourceTitle(key string) string {
	if s, ok := SourceOf(key); ok {
		return s.Title
	}
	return key
}
