// Package health answers "fit to go again?": it compares a pass with the car's
// own earlier passes at matched conditions, with physics and with the sheet's
// limits, says what it could not judge, and names causes.
//
// Use Summarise to condense clear passes (a few kilobytes each), Sift to leave
// the odd ones out, and ScreenAgainst to judge a pass. Trends, Protection,
// KnockBackgrounds and LoadOf are what the history gives besides.
//
// The method, its sources, its figures and what it cannot do are in
// docs/health.md, the rule of the verdict in docs/verdict.md, knock in
// docs/knock.md. How often it is right and how often wrong on invented faults is
// measured by bench/health.
//
// Times are in seconds on the log's run clock unless said otherwise; values are
// SI; ratios are kept as natural logarithms.
package health
