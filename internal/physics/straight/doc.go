// Package straight holds the closed forms of a car on a straight: speed, time and
// distance under constant force, constant power and drag, coasting and stopping, and what
// rotating parts add to the mass.
//
// They are the known answers that the simulated pass is held against, and quick answers
// for sizing and stopping. Sources: Newton's law integrated; each form was checked against a
// numerical integration. T. D. Gillespie, Fundamentals of Vehicle Dynamics (SAE 1992), chapter
// 2, for effective inertia.
package straight
