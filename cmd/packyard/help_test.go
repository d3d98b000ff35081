package main

import (
	"bytes"
	"context"
	"fmt"
	"path/filepath"
	"strings"
	"testing"

	"github.com/spf13/cobra"

	"packyard/check/checktest"
)

const commandsHead = `# Commands

This page is printed by the program from its help. Do not edit it; ` + "`make golden`" + ` writes it.

Results go to standard output, everything else to standard error. Where the output is no terminal there is neither colour
nor a progress bar; NO_COLOR in the environment turns colour off on a terminal too. The keys of every JSON output are in
[json.md](json.md).
`

// TestCommandsPageIsTheHelp: docs/reference/commands.md holds the help of every
// command, and each help ends with the exit codes.
func TestCommandsPageIsTheHelp(t *testing.T) {
	t.Parallel()
	var page strings.Builder
	page.WriteString(commandsHead)
	seen := 0
	for _, path := range commandPaths(t) {
		var out, errs bytes.Buffer
		if code := run(context.Background(), append([]string{"help"}, path...), &out, &errs); code != exitGood || errs.Len() > 0 {
			t.Fatalf("help %v: exit code %d, %s", path, code, &errs)
		}
		text := out.String()
		if !strings.HasSuffix(text, "\n"+exitHelp+"\n") {
			t.Errorf("the help of %v does not end with the exit codes:\n%s", path, text)
		}
		if len(path) > 1 && path[0] == "completion" {
			continue // how to load it into a shell is the help's own matter
		}
		seen++
		text = strings.TrimSpace(strings.TrimSuffix(text, exitHelp+"\n"))
		fmt.Fprintf(&page, "\n## %s\n\n```\n%s\n```\n", strings.Join(append([]string{"packyard"}, path...), " "), text)
	}
	fmt.Fprintf(&page, "\n## Exit codes\n\n%s\n", exitHelp)
	if seen < 12 {
		t.Errorf("only %d commands found", seen)
	}
	checktest.Golden(t, filepath.Join(checktest.Root(t), "docs", "reference", "commands.md"), page.String())
}

// commandPaths returns the words of every command, the program itself first.
func commandPaths(t *testing.T) [][]string {
	t.Helper()
	out := [][]string{{}}
	var walk func(c *cobra.Command, path []string)
	walk = func(c *cobra.Command, path []string) {
		for _, sub := range c.Commands() {
			if sub.IsAvailableCommand() {
				p := append(append([]string{}, path...), sub.Name())
				out = append(out, p)
				walk(sub, p)
			}
		}
	}
	walk((&app{}).root(), nil)
	return out
}

// TestHelpIsTheSameByFlagAndByCommand: help X and X --help print one text.
func TestHelpIsTheSameByFlagAndByCommand(t *testing.T) {
	t.Parallel()
	for _, path := range commandPaths(t) {
		var byCommand, byFlag, errs bytes.Buffer
		run(context.Background(), append([]string{"help"}, path...), &byCommand, &errs)
		if code := run(context.Background(), append(append([]string{}, path...), "--help"), &byFlag, &errs); code != exitGood || errs.Len() > 0 {
			t.Errorf("%v --help: exit code %d, %s", path, code, &errs)
		}
		if byCommand.String() != byFlag.String() {
			t.Errorf("%v: help prints\n%s\n--help prints\n%s", path, &byCommand, &byFlag)
		}
	}
}
