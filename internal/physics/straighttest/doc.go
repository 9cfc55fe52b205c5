// Package straighttest holds the closed forms of a car on a straight: speed and time at a
// distance under constant force, then constant power, and drag.
//
// They are the known answers that runs of the car model and of the sizing are held against.
// Source: Newton's law integrated; each form was checked against a numerical integration.
package straighttest
