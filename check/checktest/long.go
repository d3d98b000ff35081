package checktest

import "testing"

// Long leaves a test of many searches or runs out of a -short run, which is the
// one with the race detector: it sees the same goroutines in the tests that stay.
func Long(t testing.TB) {
	t.Helper()
	if testing.Short() {
		t.Skip("-short: a long test, which the race detector makes minutes of; the plain run has it")
	}
}
