#!/usr/bin/env bash
# Runs every fuzz test of the tree for a short time each: scripts/fuzz.sh [TIME].
set -euo pipefail
cd "$(dirname "$0")/.."
time=${1:-5s}

# One line for each fuzz test: folder and name.
grep -rEo --include='*_test.go' '^func Fuzz[A-Za-z0-9_]+' . | sort |
	sed -E 's|^\./(.*)/[^/]+:func (.*)$|\1 \2|' |
	while read -r dir name; do
		echo "fuzz ./$dir $name for $time"
		# The minimiser is kept short: left alone it takes a minute for each new input.
		go test -run '^$' -fuzz "^$name\$" -fuzztime "$time" -fuzzminimizetime 20x "./$dir" </dev/null >"${TMPDIR:-/tmp}/packyard-fuzz.$$" 2>&1 || {
			cat "${TMPDIR:-/tmp}/packyard-fuzz.$$"
			rm -f "${TMPDIR:-/tmp}/packyard-fuzz.$$"
			exit 1
		}
		rm -f "${TMPDIR:-/tmp}/packyard-fuzz.$$"
	done
