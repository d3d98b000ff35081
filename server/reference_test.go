package server

import (
	"os"
	"strings"
	"testing"
)

// TestReferencePageNamesEveryPathTableAndEvent holds docs/reference/api.md to
// what the server answers.
func TestReferencePageNamesEveryPathTableAndEvent(t *testing.T) {
	t.Parallel()
	data, err := os.ReadFile("../docs/reference/api.md")
	if err != nil {
		t.Fatal(err)
	}
	s := &Server{}
	wanted := s.tableNames()
	for path := range s.answers() {
		wanted = append(wanted, path)
	}
	for name := range eventTypes() {
		wanted = append(wanted, name)
	}
	wanted = append(wanted, tsWords["ApiError.kind"]...)
	for _, name := range wanted {
		if !strings.Contains(string(data), "`"+name+"`") {
			t.Errorf("docs/reference/api.md does not name %s", name)
		}
	}
}
