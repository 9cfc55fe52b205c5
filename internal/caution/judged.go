package caution

// What stands beside the verdict on a pass, wherever it is told.
const (
	// Doubt stands with every verdict but clear.
	Doubt = "Find out why before the car goes out: a failing engine can let go within seconds, and its oil lies under its own tyres."
	// ByHand stands with every verdict.
	ByHand = "By hand, each time: wheel nuts, hoses, tyres and leaks, the oil for metal. The log does not see them."
)
