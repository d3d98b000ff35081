package celltest

// Log is what was measured on one item over one run of the clock: one entry per
// row, all series of one length, every entry finite. Current is positive on
// discharge; ReadLog turns the file's own sign. Nothing is resampled, smoothed or
// filled in between rows, so rows may be unevenly spaced and there may be holes.
type Log struct {
	Name        string    // of the file or item, for messages
	Time        []float64 // s from the first row; never falling, may repeat
	Voltage     []float64 // V at the terminals
	Current     []float64 // A, positive on discharge
	Temperature []float64 // K of the surface; nil when none was recorded
	Charge      []float64 // C that the instrument itself counted, growing on discharge, zero at the first row; nil when none was recorded
	Step        []float64 // the instrument's own step number, dimensionless; nil when none was recorded
	Line        []int     // line in the file, from 1; nil when the log came from elsewhere
}

// Len returns the number of rows.
func (l *Log) Len() int { return len(l.Time) }
