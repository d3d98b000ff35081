#!/usr/bin/env bash
# The pages of the workbench: scripts/web.sh build|try|test.
#   build  into server/dist, from where the program takes them
#   try    the same; where that cannot be, the program serves a page that says so
#   test   types, style, parts by themselves, and the whole in a browser
# Without Node, or with one that is too old, try and test say so and pass; with
# CI=true that is a failure.
set -euo pipefail
cd "$(dirname "$0")/../web"

fit() {
	command -v npm >/dev/null && node -e '
		const [major, minor] = process.versions.node.split(".").map(Number);
		process.exit(major > 22 || (major === 22 && minor >= 12) || (major === 20 && minor >= 19) ? 0 : 1)'
}

# Installs what package-lock.json names, unless that was done.
modules() {
	local done=node_modules/.package-lock.json
	[ -e "$done" ] && [ ! package-lock.json -nt "$done" ] && return
	npm ci --no-audit --no-fund --loglevel=error && touch "$done"
}

build() { modules && npm run --silent build -- --logLevel warn; }

pass() {
	echo "packyard: $1" >&2
	[ "${CI:-}" = true ] && exit 1
	exit 0
}

unfit="Node 20.19 or 22.12 and npm were not found"
case ${1:-} in
build)
	fit || { echo "packyard: pages: $unfit" >&2; exit 1; }
	build
	;;
try)
	fit || pass "pages: $unfit; the program is built without the pages of the workbench"
	build || pass "pages: they could not be built (see above); the program is built without them"
	;;
test)
	fit || pass "tests: $unfit; the pages of the workbench are not tested"
	build
	npm run --silent check
	npm run --silent test
	npm run --silent test:browser
	;;
*)
	echo "usage: scripts/web.sh build|try|test" >&2
	exit 2
	;;
esac
