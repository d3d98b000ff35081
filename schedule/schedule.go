package schedule

import "packyard/unit"

// Schedule is a speed over time, with grade where the route has one. The
// slices have equal length; Time is strictly increasing from 0.
type Schedule struct {
	ID, Title string
	Source    string    // source key, or the user's file
	Time      []float64 // s
	Speed     []float64 // m/s, ≥ 0, speed at Time[i], linear between
	Grade     []float64 // rise over run (tan θ) over the step that begins at i; nil on the level
	Notes     []string  // what reading did: resampled, smoothed, capped
}

// Figures are the headline figures of a schedule.
type Figures struct {
	Distance unit.Length
	Duration unit.Time
	Mean     unit.Speed // standstill included
	Max      unit.Speed
	Stops    int // times the speed falls from above zero to zero
	Climb    unit.Length
}
