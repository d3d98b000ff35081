// Package server is the workbench's own web server: it serves the embedded
// front end to the browser of this machine, takes edits as text, tells every
// open page what changed, and keeps budgets, assessment and ranked options of
// the project up to date.
//
// It makes no number of its own: every figure comes from project, design,
// search and drive, in SI, with the unit at the end of its key.
//
// One project folder is open, through project.Session. After each change the
// option that the builder chose, or the one that leads, is worked out anew at
// once, on its own goroutine; the full search follows and is cancelled by the
// next change. Results are kept by the content of the files, so that going back
// to an earlier state shows its options at once.
//
// The server listens on the loopback addresses alone. A request is answered
// only with its own address as Host, not from another page (Origin,
// Sec-Fetch-Site), and with a secret of this start, which the printed address
// carries and a cookie holds from then on. It reads and writes inside the
// project folder and makes no request of its own. docs/method/server.md says
// what is held by which test, and what is not.
//
// docs/reference/api.md lists paths and answers.
package server
