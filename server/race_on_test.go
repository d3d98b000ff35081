//go:build race

package server

const raceDetector = true
