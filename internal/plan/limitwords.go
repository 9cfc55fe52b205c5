package plan

// oneStep is the limit, and ownRule what is told for its chance, by which no more than one step beyond what was run is taken.
const oneStep, ownRule = "one step a pass", "our own rule"

// ChanceWords tell how often a limit is passed, and where the next step is what it forbids,
// how often then.
func (l Limit) ChanceWords() string {
	if l.OwnRule() {
		return ownRule
	}
	words := "chance " + Percent(l.Chance)
	if l.More > max(hardChance, 2*l.Chance) {
		words += ", " + Percent(l.More) + " with " + l.Step()
	}
	return words
}

// OwnRule says that a limit is the rule of one step a pass, which is no matter of chance.
func (l Limit) OwnRule() bool { return l.Limit == oneStep }

// ShortChance is the chance alone, for a table.
func (l Limit) ShortChance() string {
	if l.OwnRule() {
		return ownRule
	}
	return Percent(l.Chance)
}

// Step is what a limit's gain is told for: in a gear a hundredth of the absolute pressure
// there, of a limit of the whole pass a hundredth of itself.
func (l Limit) Step() string {
	if l.Gear == 0 {
		return "1 % more of it"
	}
	return "1 % more boost"
}

// stepMeant explains Step below a list of limits in which it stands for a gear.
func stepMeant(limits []Limit) string {
	for _, l := range limits {
		if l.Binds && l.Gear > 0 {
			return "1 % of the absolute pressure in that gear."
		}
	}
	return ""
}

// upper begins a sentence with a capital.
