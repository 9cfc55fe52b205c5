// Package card makes the pass card: the one printed page for the next pass, with
// settings, limits, forecast, protection, checks and cautions.
//
// It computes nothing but what stands on paper: the plan (package plan) holds the
// figures, health.Protection the thresholds. One content is written three ways, as
// text, as HTML that prints on one page, and as PDF. Where the plan forbids a card,
// New refuses with the plan's own sentence.
package card
