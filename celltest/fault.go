package celltest

// Kinds of faults that only an analysis finds.
const (
	FaultHole     FaultKind = "hole"     // time without rows in which current flowed
	FaultClosing  FaultKind = "closing"  // a charge and a discharge that should be alike and are not
	FaultSettling FaultKind = "settling" // a voltage that follows its current late
	FaultLeads    FaultKind = "leads"    // resistance of leads in the voltage
	FaultRelaxing FaultKind = "relaxing" // a rest that had not come to rest
	FaultFalling  FaultKind = "falling"  // a rest voltage that falls with charge
	FaultWitness  FaultKind = "witness"  // two readings that cannot both be right
	FaultClusters FaultKind = "clusters" // one lot that is two
)

// tell adds a fault, or counts it once more; what came first keeps its words.
func (f *faults) tell(kind FaultKind, path string, line int, hint, format string, args ...any) {
	if !f.again(kind, path, line) {
		f.add(kind, path, line, hint, format, args...)
	}
}
