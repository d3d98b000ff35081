package main

import (
	"bytes"
	"context"
	"path/filepath"
	"testing"

	"packyard/check/checktest"
)

// TestInterruptEndsTheWork: a command whose context has ended prints no result
// and ends with the code of an operation that could not be done.
func TestInterruptEndsTheWork(t *testing.T) {
	t.Parallel()
	ctx, cancel := context.WithCancel(context.Background())
	cancel()
	project := filepath.Join(checktest.Root(t), "project", "testdata", "minimal")
	for _, args := range [][]string{
		{"options", project},
		{"options", project, "--json"},
		{"assess", project, "--option", "new-cells/96S1P/6x16S"},
		{"drive", project, "--option", "new-cells/96S1P/6x16S", "--schedule", "all"},
	} {
		var out, errs bytes.Buffer
		if code := run(ctx, args, &out, &errs); code != exitFailed {
			t.Errorf("%v: exit code %d, want %d", args, code, exitFailed)
		}
		if out.Len() > 0 || errs.String() != "packyard: interrupted: nothing was printed\n" {
			t.Errorf("%v printed %q and said %q", args, out.String(), errs.String())
		}
	}
}
