package drawing

import "strings"

// roles are the names of the roles with their own colours on light and on dark
// ground and in print. A page's custom property of the same name, "--ink", goes
// before them, except in print.
var roles = [roleCount]struct{ name, light, dark, print string }{
	ink:    {"ink", "#22211f", "#ece8df", "#000"},
	faint:  {"faint", "#6d685f", "#a8a295", "#555"},
	accent: {"accent", "#1d5c8f", "#86bde8", "#000"},
	hv:     {"hv", "#d9620a", "#f28c3a", "#000"},
	bad:    {"bad", "#a8201a", "#ff8a80", "#000"},
	paper:  {"paper", "#fdfcf8", "#1b1a18", "#fff"},
}

// typefaces are tried in this order.
const typefaces = "Helvetica Neue, Helvetica, Arial, Liberation Sans, DejaVu Sans, sans-serif"

// Style returns the stylesheet of all sheets. A page that shows sheets inline
// serves it once; a sheet as a file of its own holds it.
func Style() string {
	var b strings.Builder
	block := func(value func(i int) string) {
		b.WriteString(".pk-sheet{")
		for i := int(ink); i < int(roleCount); i++ {
			b.WriteString("--pk-" + roles[i].name + ":" + value(i) + ";")
		}
		b.WriteString("}")
	}
	block(func(i int) string { return "var(--" + roles[i].name + "," + roles[i].light + ")" })
	b.WriteString("\n@media (prefers-color-scheme:dark){")
	block(func(i int) string { return "var(--" + roles[i].name + "," + roles[i].dark + ")" })
	b.WriteString("}\n@media print{")
	block(func(i int) string { return roles[i].print })
	b.WriteString("}\n")
	for i := int(ink); i < int(roleCount); i++ {
		n := roles[i].name
		b.WriteString(".pk-" + n + "{stroke:var(--pk-" + n + ")}.pk-f-" + n + ",.pk-t-" + n + "{fill:var(--pk-" + n + ")}\n")
	}
	b.WriteString(".pk-sheet text{font-variant-numeric:tabular-nums}.pk-halo{stroke:var(--pk-paper)}\n")
	return b.String()
}
