package quantity

import "regexp"

// unitWords finds a number with its unit.
var unitWords = regexp.MustCompile(`([0-9]) (s|g|mph|km/h|m/s|psi|kPa|hPa|bar|rpm|hp|kW|lb-ft|N·m|°F|°C|AFR|ft|m|km|mile|%)([ ,.;:)]|$)`)

// Together binds each number of a sentence to its unit with a no-break space, so that no line
// of a page or a sheet ends between them.
func Together(sentence string) string { return unitWords.ReplaceAllString(sentence, "$1\u00a0$2$3") }
