package quantity

import "fmt"

// Count says how many things there are, in the form that agrees: "1 channel is",
// "3 channels are". one and many are the words behind the number.
func Count(n int, one, many string) string {
	if n == 1 {
		return "1 " + one
	}
	return fmt.Sprintf("%d %s", n, many)
}
