package main

import (
	"bytes"
	"context"
	"fmt"
	"io/fs"
	"os"
	"path/filepath"
	"regexp"
	"slices"
	"strconv"
	"strings"
	"testing"

	"packyard/check/checktest"
)

// The pages whose command blocks are run, from the root of the repository.
var commandPages = []string{
	"README.md", "docs/guide.md",
	"examples/orchard-truck/README.md", "examples/harbour-microvan/README.md", "examples/wishful-roadster/README.md",
}

// TestPagesShowWhatThePackyardPrints runs every command of the pages, in a
// folder with a copy of the examples, and compares what it prints. A block is
//
//	<!-- shown: first 9, from "Why the others fell" 6, last 2; exit 1 -->
//	```console
//	$ packyard options examples/orchard-truck
//	...
//	```
//
// The comment above it is optional: without it the whole output stands there
// and the exit code is 0. What is left out is one line "…". A block that begins
// ```diff FILE is an edit of that file. `make golden` writes the outputs.
func TestPagesShowWhatThePackyardPrints(t *testing.T) {
	checktest.Long(t)
	root := checktest.Root(t)
	for _, name := range commandPages {
		t.Run(name, func(t *testing.T) {
			dir := t.TempDir()
			if err := os.CopyFS(filepath.Join(dir, "examples"), os.DirFS(filepath.Join(root, "examples"))); err != nil {
				t.Fatal(err)
			}
			file := filepath.Join(root, filepath.FromSlash(name))
			text, err := os.ReadFile(file)
			if err != nil {
				t.Fatal(err)
			}
			t.Chdir(dir)
			p := page{ctx: t.Context(), say: t.Errorf}
			got := p.rewrite(string(text))
			if p.ran == 0 {
				t.Errorf("%s runs no command; the walk is wrong", name)
			}
			checktest.Golden(t, file, got)
		})
	}
}

// TestEveryExampleHasItsPage: no folder of examples without a page that is run.
func TestEveryExampleHasItsPage(t *testing.T) {
	root := checktest.Root(t)
	list, err := fs.Glob(os.DirFS(root), "examples/*/packyard.yaml")
	if err != nil || len(list) < 3 {
		t.Fatalf("examples: %v, %v", list, err)
	}
	for _, f := range list {
		if want := strings.Replace(f, "packyard.yaml", "README.md", 1); !slices.Contains(commandPages, want) {
			t.Errorf("%s is not among the pages whose commands are run", want)
		}
	}
}

// page is a page while its command blocks are run.
type page struct {
	ctx context.Context
	say func(format string, args ...any) // called for each fault
	ran int                              // commands run
}

// rewrite returns the page with the output of every command block as the
// commands print it now.
func (p *page) rewrite(text string) string {
	lines := strings.Split(text, "\n")
	var out []string
	for i := 0; i < len(lines); i++ {
		l := lines[i]
		out = append(out, l)
		if !strings.HasPrefix(l, "```") || l == "```" {
			continue
		}
		end := slices.Index(lines[i+1:], "```")
		if end < 0 {
			p.say("the block %q has no end", l)
			return text
		}
		body := lines[i+1 : i+1+end]
		switch kind, file, _ := strings.Cut(l[3:], " "); {
		case kind == "console":
			shown := ""
			if i > 0 {
				shown = lines[i-1]
			}
			out = append(out, p.console(body, shown)...)
		case kind == "diff" && file != "":
			p.edit(file, body)
			out = append(out, body...)
		default:
			out = append(out, body...)
		}
		out = append(out, "```")
		i += 1 + end
	}
	return strings.Join(out, "\n")
}

// console runs the commands of a block and returns its new lines.
func (p *page) console(body []string, comment string) []string {
	keep, exit := p.shown(comment)
	var out []string
	for _, l := range body {
		command, ok := strings.CutPrefix(l, "$ ")
		if !ok {
			continue // output of the last command, written anew
		}
		args := words(command)
		if len(args) == 0 || args[0] != "packyard" {
			p.say("%q is not a command of packyard; write it into a block of another kind", command)
			continue
		}
		var b bytes.Buffer
		if code := run(p.ctx, args[1:], &b, &b); code != exit {
			p.say("%s ended with code %d, want %d\n%s", command, code, exit, b.String())
		}
		p.ran++
		out = append(out, l)
		out = append(out, keep(strings.Split(strings.TrimRight(b.String(), "\n"), "\n"))...)
	}
	return out
}

var (
	shownComment = regexp.MustCompile(`^<!-- shown: (.*?)(?:; exit (\d))? -->$`)
	shownPart    = regexp.MustCompile(`^(?:(first|last) (\d+)|from "([^"]+)" (\d+)|(all))$`)
)

// shown reads the comment above a block and returns what to keep of an output,
// and the exit code that the commands must have.
func (p *page) shown(comment string) (keep func([]string) []string, exit int) {
	m := shownComment.FindStringSubmatch(comment)
	if m == nil {
		return func(l []string) []string { return l }, 0
	}
	exit, _ = strconv.Atoi(m[2])
	parts := strings.Split(m[1], ", ")
	return func(lines []string) []string {
		kept := make([]bool, len(lines))
		for _, part := range parts {
			from, to, err := excerpt(part, lines)
			if err != nil {
				p.say("%s: %v", comment, err)
				continue
			}
			for i := from; i < to; i++ {
				kept[i] = true
			}
		}
		var out []string
		for i, l := range lines {
			switch {
			case kept[i]:
				out = append(out, l)
			case i == 0 || kept[i-1]:
				out = append(out, "…")
			}
		}
		return out
	}, exit
}

// excerpt returns the lines from..to of one part of a comment.
func excerpt(part string, lines []string) (from, to int, err error) {
	m := shownPart.FindStringSubmatch(part)
	if m == nil {
		return 0, 0, fmt.Errorf("%q is none of first N, last N, from \"TEXT\" N, all", part)
	}
	n, _ := strconv.Atoi(m[2] + m[4])
	switch {
	case m[5] != "":
		return 0, len(lines), nil
	case m[1] == "first":
		return 0, min(n, len(lines)), nil
	case m[1] == "last":
		return max(0, len(lines)-n), len(lines), nil
	}
	at := slices.IndexFunc(lines, func(l string) bool { return strings.Contains(l, m[3]) })
	if at < 0 {
		return 0, 0, fmt.Errorf("no line of the output holds %q", m[3])
	}
	return at, min(at+n, len(lines)), nil
}

// words splits a command line at its spaces; double quotes hold words together.
func words(command string) []string {
	var out []string
	for i, part := range strings.Split(command, `"`) {
		if i%2 == 1 {
			out = append(out, part)
			continue
		}
		out = append(out, strings.Fields(part)...)
	}
	return out
}

// edit applies a block of kind diff to a file: the lines with minus and space
// must stand in it once, those with plus and space take their place.
func (p *page) edit(file string, body []string) {
	var before, after strings.Builder
	for _, l := range body {
		if l == "" {
			l = " "
		}
		if l[0] != '+' {
			before.WriteString(l[1:] + "\n")
		}
		if l[0] != '-' {
			after.WriteString(l[1:] + "\n")
		}
	}
	b, err := os.ReadFile(filepath.FromSlash(file))
	if err != nil {
		p.say("edit: %v", err)
		return
	}
	if n := strings.Count(string(b), before.String()); n != 1 {
		p.say("edit: %s holds these lines %d times, want once:\n%s", file, n, before.String())
		return
	}
	if err := os.WriteFile(filepath.FromSlash(file), []byte(strings.Replace(string(b), before.String(), after.String(), 1)), 0o600); err != nil {
		p.say("edit: %v", err)
	}
}

// TestCommandBlocksAreHeldToTheirOutput: the walk itself, over a page with one
// fault of each kind.
func TestCommandBlocksAreHeldToTheirOutput(t *testing.T) {
	t.Chdir(t.TempDir())
	const text = "# A page\n" +
		"```console\n$ packyard new x\nold output\n```\n" +
		"```diff x/packyard.yaml\n-title: x\n+title: Another title\n```\n" +
		"<!-- shown: from \"kg\" 1; exit 0 -->\n```console\n$ packyard units\n```\n" +
		"<!-- shown: all; exit 3 -->\n```console\n$ packyard check x\n```\n" +
		"<!-- shown: from \"no such line\" 1; exit 2 -->\n```console\n$ packyard check x --no-such-flag\n```\n" +
		"```console\n$ ls\n```\n" +
		"```diff x/packyard.yaml\n-title: x\n+title: y\n```\n"
	var said []string
	p := page{ctx: t.Context(), say: func(f string, a ...any) { said = append(said, fmt.Sprintf(f, a...)) }}
	got := p.rewrite(text)
	for _, want := range []string{"\nwrote x" + string(filepath.Separator) + "packyard.yaml\n", "\n…\n"} {
		if !strings.Contains(got, want) {
			t.Errorf("the new page lacks %q:\n%s", want, got)
		}
	}
	if strings.Contains(got, "old output") {
		t.Error("the old output is still there")
	}
	want := []string{"ended with code 0, want 3", `no line of the output holds "no such line"`, `"ls" is not a command`, "holds these lines 0 times"}
	for i, w := range want {
		if i >= len(said) || !strings.Contains(said[i], w) {
			t.Errorf("faults found: %q, want %q", said, want)
			break
		}
	}
	if b, err := os.ReadFile("x/packyard.yaml"); err != nil || !strings.Contains(string(b), "title: Another title\n") {
		t.Errorf("the edit was not made: %v", err)
	}
	if p.ran != 4 {
		t.Errorf("%d commands run, want 4", p.ran)
	}
}
