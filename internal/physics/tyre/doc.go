// Package tyre holds what textbooks and standards say of tyres: what is written
// on the sidewall (size, load index, speed symbol) and the rolling radius.
//
// All values are in SI. Each file names its source; the tests name one beside each
// figure. Nothing here is fitted to any car: a car's own grip is learnt from
// its passes elsewhere.
package tyre
