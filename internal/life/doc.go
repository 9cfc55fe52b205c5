// Package life tells what each part of a car has endured, by its serial number, and when it
// is due.
//
// From the passes in which it was in the car: their number, the time at full throttle and
// above the levels asked for, how often a limit was passed, and, where a torque wears it, the
// cycles (ASTM E1049 rainflow; or one for each turn of the shaft, as gear teeth bear them)
// and Palmgren's and Miner's sum of damage on the part's own S–N slope. Parts of one kind
// are pooled: with two failures or more a Weibull distribution by maximum likelihood, with
// fewer the lower bound for a slope that is assumed.
//
// How wrong it can be: damage goes with torque to the power of the slope. An error of 3 % in
// torque is 30 % in damage at a slope of 8.7; the bounds carry it. Miner's sum itself is at
// failure commonly between 0.3 and 3 (fatigue textbooks, from memory), so a part is taken as
// due at 0.3 unless its entry says otherwise, and a sum of 1 is never called the end of a
// life. Without a point on the S–N line damage is told only as a multiple of the usual pass.
//
// The package takes passes as plain data (Pass) and knows neither logs nor store: whoever
// keeps passes hands them in.
package life
