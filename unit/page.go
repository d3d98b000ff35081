package unit

import (
	"fmt"
	"strings"
)

// Page returns the reference page of all quantities and accepted spellings in
// Markdown; sourceTitle turns the key of a source into words.
func Page(sourceTitle func(key string) string) string {
	var b strings.Builder
	b.WriteString(pageHead)
	var keys []string
	mark := map[string]int{}
	for _, k := range Kinds() {
		fmt.Fprintf(&b, "\n## %s\n\n", strings.ToUpper(k.Noun[:1])+k.Noun[1:])
		if sums := sumSpellings(k.Noun); len(sums) > 0 {
			fmt.Fprintf(&b, "Sums are read in %s, as in `%s`.\n\n", join3(sums, "and"), parser{kind: k}.sumExample())
		}
		if k.bare() {
			b.WriteString("A bare number is read as it is.\n\n")
		}
		fmt.Fprintf(&b, "| spelling | also written | in %s | system | source |\n| --- | --- | --- | --- | --- |\n", symbolWords(k))
		for i, r := range k.Rows {
			if r.Alias {
				continue
			}
			if mark[r.Source] == 0 {
				keys = append(keys, r.Source)
				mark[r.Source] = len(keys)
			}
			fmt.Fprintf(&b, "| %s | %s | %s | %s | %d |\n", code(r.Spelling), aliases(k.Rows[i+1:]), factorText(r), [...]string{SI: "SI", US: "US"}[r.System], mark[r.Source])
		}
	}
	b.WriteString("\n## Sources\n\n")
	for i, key := range keys {
		fmt.Fprintf(&b, "%d. %s (`%s`)\n", i+1, sourceTitle(key), key)
	}
	return b.String()
}

const pageHead = `# Units

This page is printed by the program from its table of units. Do not edit it; ` + "`make golden`" + ` writes it.

Every quantity is written with its unit. These lists are closed: a spelling that is not here is refused with the list of
those that are. A number has a decimal point and nothing between its thousands; it may have a power of ten ("1.5e3 mm") or
be a fraction ("1/2 in", "16 1/2 in"). The space before the unit may be left out.

A spread is written behind the value: "142 kg ± 2 kg" or "142 kg ± 5 %" is one standard deviation, "142 kg ± 2 kg max" a
hard limit to both sides, "10 … 18 °C" a range. "+/-" stands for ± and ".." for the dots.

"also written" lists further spellings of the same unit, for keyboards without the sign. The column of factors gives what
one unit is in the SI unit of the quantity, to ten digits.
`

func symbolWords(k Kind) string {
	if k.bare() {
		return "parts of one"
	}
	return k.Symbol
}

func code(spelling string) string {
	if spelling == "1" {
		return "(none)"
	}
	return "`" + spelling + "`"
}

// aliases lists the aliases at the head of rows.
func aliases(rows []Row) string {
	var out []string
	for _, r := range rows {
		if !r.Alias {
			break
		}
		out = append(out, code(r.Spelling))
	}
	return strings.Join(out, ", ")
}

func factorText(r Row) string {
	s := fmt.Sprintf("%.10g", r.Factor)
	if r.Offset == 0 {
		return s
	}
	if r.Factor == 1 {
		return fmt.Sprintf("t + %.10g", r.Offset)
	}
	return fmt.Sprintf("(t + %.10g)·%s", r.Offset/r.Factor, s)
}
