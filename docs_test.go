package packyard_test

import (
	"io/fs"
	"net/url"
	"os"
	"path"
	"path/filepath"
	"regexp"
	"slices"
	"strings"
	"testing"
	"testing/fstest"
)

// TestLinksOfThePagesLeadSomewhere follows every relative link of every page,
// anchors included.
func TestLinksOfThePagesLeadSomewhere(t *testing.T) {
	t.Parallel()
	pages, links := 0, 0
	err := filepath.WalkDir(".", func(p string, d fs.DirEntry, err error) error {
		if err != nil {
			return err
		}
		if name := d.Name(); d.IsDir() && p != "." && (strings.HasPrefix(name, ".") || name == "testdata" || name == "node_modules") {
			return filepath.SkipDir
		}
		if d.IsDir() || filepath.Ext(p) != ".md" {
			return nil
		}
		pages++
		b, err := os.ReadFile(p)
		if err != nil {
			return err
		}
		found, faults := brokenLinks(os.DirFS("."), filepath.ToSlash(p), string(b))
		links += found
		for _, f := range faults {
			t.Errorf("%s: %s", filepath.ToSlash(p), f)
		}
		return nil
	})
	if err != nil {
		t.Fatal(err)
	}
	if pages < 10 || links < 30 {
		t.Errorf("only %d links on %d pages; the walk is wrong", links, pages)
	}
}

// TestEveryMethodPageIsListed: docs/README.md leads to each page of docs/method,
// and the list of decisions to each decision.
func TestEveryMethodPageIsListed(t *testing.T) {
	t.Parallel()
	for list, glob := range map[string]string{"docs/README.md": "docs/method/*.md", "docs/decisions/README.md": "docs/decisions/[0-9]*.md"} {
		b, err := os.ReadFile(list)
		if err != nil {
			t.Fatal(err)
		}
		pages, err := filepath.Glob(glob)
		if err != nil || len(pages) < 5 {
			t.Fatalf("%s: %d pages, %v", glob, len(pages), err)
		}
		for _, p := range pages {
			rel, err := filepath.Rel(filepath.Dir(list), p)
			if err != nil {
				t.Fatal(err)
			}
			if !strings.Contains(string(b), "]("+filepath.ToSlash(rel)+")") {
				t.Errorf("%s does not list %s", list, filepath.ToSlash(p))
			}
		}
	}
}

var (
	pageLink   = regexp.MustCompile(`\]\(([^()\s]+)\)`)
	pageFence  = regexp.MustCompile("(?ms)^```.*?^```$")
	pageTitle  = regexp.MustCompile(`(?m)^#+ (.*)$`)
	pageInline = regexp.MustCompile("`[^`\n]*`")
)

// brokenLinks returns how many relative links a page has and what is wrong with
// them.
func brokenLinks(root fs.FS, page, text string) (links int, faults []string) {
	text = pageInline.ReplaceAllString(pageFence.ReplaceAllString(text, ""), "")
	for _, m := range pageLink.FindAllStringSubmatch(text, -1) {
		u, err := url.Parse(m[1])
		if err != nil {
			faults = append(faults, m[1]+" cannot be read: "+err.Error())
			continue
		}
		if u.Scheme != "" {
			continue // an address elsewhere; tests use no network
		}
		links++
		target := page
		if u.Path != "" {
			target = path.Join(path.Dir(page), u.Path)
		}
		info, err := fs.Stat(root, target)
		if err != nil {
			faults = append(faults, m[1]+" leads nowhere")
			continue
		}
		if u.Fragment == "" {
			continue
		}
		b, err := fs.ReadFile(root, target)
		if info.IsDir() || err != nil || !slices.Contains(anchors(string(b)), u.Fragment) {
			faults = append(faults, m[1]+": no such heading")
		}
	}
	return links, faults
}

// anchors returns the names of the headings of a page, in lower case, words
// joined by hyphens, without other marks.
func anchors(text string) []string {
	var out []string
	for _, m := range pageTitle.FindAllStringSubmatch(pageFence.ReplaceAllString(text, ""), -1) {
		name := strings.Map(func(r rune) rune {
			switch {
			case r == ' ', r == '-':
				return '-'
			case strings.ContainsRune(`.,;:!?()/'"`+"`", r):
				return -1
			}
			return r
		}, strings.ToLower(m[1]))
		out = append(out, name)
	}
	return out
}

// TestLinkCheckFindsWhatItLooksFor: the check itself, over a page with faults.
func TestLinkCheckFindsWhatItLooksFor(t *testing.T) {
	t.Parallel()
	const text = "# A page, of sorts\n[good](go.mod) [here](#a-page-of-sorts) [far](https://example.org/x) `[not](a-link)`\n" +
		"```\n[nor](this)\n```\n[gone](no/such/file.md) [head](#no-such-heading) [dir](docs) [up](../../x.md)\n"
	root := fstest.MapFS{"page.md": {Data: []byte(text)}, "go.mod": {}, "docs/a.md": {}}
	links, faults := brokenLinks(root, "page.md", text)
	if links != 6 {
		t.Errorf("%d relative links, want six", links)
	}
	if len(faults) != 3 {
		t.Errorf("faults %q, want three", faults)
	}
}
