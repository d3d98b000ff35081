#!/usr/bin/env bash
# Installs what the tests compare with, from Debian, where it is missing. Run by
# `make test`. Does nothing and needs no network when everything is there.
set -euo pipefail

missing=()
# need PACKAGE CHECK...: the package is missing when the check fails.
need() {
	local package=$1
	shift
	"$@" >/dev/null 2>&1 || missing+=("$package")
}

need ngspice command -v ngspice
need octave command -v octave-cli
need units command -v units
need python3-scipy /usr/bin/python3 -c 'import scipy.integrate'
# Solves what match is compared with.
need coinor-cbc command -v cbc
# Reads the 3D files that packyard writes.
need assimp-utils command -v assimp
# Draw the PDF and SVG files that packyard writes, to be compared.
need poppler-utils command -v pdftoppm
need librsvg2-bin command -v rsvg-convert
# The pages of the workbench are tested in it, where Node is there to make them.
if command -v npm >/dev/null; then
	need chromium test -x "${CHROMIUM:-/usr/bin/chromium}"
fi
# The race detector needs a C compiler.
need gcc command -v gcc
need libc6-dev test -e /usr/include/stdlib.h

if [ ${#missing[@]} -eq 0 ]; then
	exit 0
fi

give_up() {
	echo "packyard: tests: $1; missing: ${missing[*]}" >&2
	if [ "${CI:-}" = true ]; then
		exit 1
	fi
	echo "hint: install them by hand; until then the tests that need them are skipped by name" >&2
	exit 0
}

command -v apt-get >/dev/null || give_up "apt-get was not found, so nothing is installed"
as_root=()
if [ "$(id -u)" -ne 0 ]; then
	sudo -n true 2>/dev/null || give_up "neither root nor sudo without a password, so nothing is installed"
	as_root=(sudo -n)
fi
echo "packyard: installing ${missing[*]}" >&2
install() {
	"${as_root[@]}" env DEBIAN_FRONTEND=noninteractive apt-get -o DPkg::Lock::Timeout=300 -qq "$@" >&2
}
install update || give_up "apt-get update did not succeed"
install install -y --no-install-recommends "${missing[@]}" || give_up "apt-get install did not succeed"
