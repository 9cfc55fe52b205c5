// Package card makes the pass card: the one printed page for the next pass, with
// settings, limits, forecast, protection, checks and cautions.
//
// It computes nothing but what stands on paper: the plan's answer (package plan, for
// settings that it chose and for those of a hand alike) holds the figures,
// health.Protection the thresholds. One content is written as text, as HTML that prints
// on one page, and as PDF; the served page sets it too. Where the plan forbids a card, New
// refuses with the plan's own sentence.
package card
