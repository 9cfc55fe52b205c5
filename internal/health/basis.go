package health

import "fmt"

// basis says what the answer rests on.
func (j *judge) basis() string {
	if len(j.past) < fewPasses && j.opts.Shop != nil {
		return j.ownBasis() + ", its scatter beside that of " + counted(j.opts.Shop.Cars(), "other car") + " of the shop"
	}
	return j.ownBasis()
}

func counted(n int, what string) string {
	if n == 1 {
		return "1 " + what
	}
	return fmt.Sprintf("%d %ss", n, what)
}

func (j *judge) ownBasis() string {
	n := 0
	for _, s := range j.past {
		if len(s.Digests) > 0 {
			n++
		}
	}
	switch n {
	case 0:
		return "physical rules and the pass's own course; no earlier clear pass of this car"
	case 1:
		return "own history of 1 pass"
	}
	return fmt.Sprintf("own history of %d passes", n)
}
