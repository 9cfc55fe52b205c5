package quantity

// Estimate is a number with its standard deviation, both in the unit that the
// field holding it states. LowerBound says that the truth is at least Value.
type Estimate struct {
	Value      float64 // in the holder's unit
	SD         float64 // standard deviation, same unit
	LowerBound bool
}
