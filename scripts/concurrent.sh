#!/usr/bin/env bash
# Prints the packages that start goroutines or share state between them; these
# are tested with the race detector.
set -euo pipefail
cd "$(dirname "$0")/.."
grep -rlE --include='*.go' '^[[:space:]]*go (func|[a-zA-Z.]+)\(|^[[:space:]]*"sync(/atomic)?"$' ./*/ | xargs -r -n1 dirname | sort -u
