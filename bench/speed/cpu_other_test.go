//go:build !unix

package speed

// processorTime is not measured here.
func processorTime() float64 { return 0 }
