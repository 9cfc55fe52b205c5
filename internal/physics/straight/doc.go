// Package straight holds the closed forms of a car on a straight: speed, time and
// distance under constant force, constant power and drag, and stopping.
//
// They are the known answers that runs of the sizing are held against, and quick answers
// for stopping. Sources: Newton's law integrated; each form was checked against a
// numerical integration.
package straight
