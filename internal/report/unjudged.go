package report

import (
	"slices"
	"strings"
)

// Unjudged shortens what was not judged (Health.NotJudged, "oil: no pressure channel") for
// reading: what lacks no more than a channel is told by the channels in one item, the last.
func Unjudged(notJudged []string) []string {
	var out, lacking []string
	for _, s := range notJudged {
		c := lackingChannel(s)
		switch {
		case c == "":
			out = append(out, s)
		case !slices.Contains(lacking, c):
			lacking = append(lacking, c)
		}
	}
	if len(lacking) > 0 {
		out = append(out, "what needs a channel for "+strings.Join(lacking, ", "))
	}
	return out
}

// lackingChannel is the channel that would be enough to judge a thing that was not; "" where
// more is lacking.
func lackingChannel(s string) string {
	name, why, _ := strings.Cut(s, ": no ")
	c, plain := strings.CutSuffix(why, " channel")
	if !plain || strings.ContainsAny(c, ",:") {
		return ""
	}
	if c == "pressure" {
		return strings.TrimSuffix(name, " pressure") + " pressure"
	}
	return c
}
