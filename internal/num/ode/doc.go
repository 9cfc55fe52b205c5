// Package ode integrates ordinary differential equations y' = f(t, y) whose
// solutions are smooth between events: an explicit Runge–Kutta pair with dense
// output, a step controller, and events located by root finding.
//
// The parts are independent. A Method is a table of coefficients and knows
// nothing of step control; PI chooses steps and knows nothing of the
// method but its order; an Event is a function of time and state. Solve joins
// them.
//
// What it does not do: stiff problems. An explicit pair takes steps of about
// 3 divided by the fastest rate of the system; if that is much smaller than what
// the accuracy asks for, the outcome OutOfSteps says so.
//
// Sources: Ch. Tsitouras, "Runge–Kutta pairs of order 5(4) satisfying only the
// first column simplifying assumption", Computers & Mathematics with
// Applications 62 (2011) 770–775 (coefficients from memory; all seventeen
// conditions to order 5, the eight to order 4 of the error weights and the
// order 4 of the interpolant are checked in the tests). K. Gustafsson, "Control
// theoretic techniques for stepsize selection in explicit Runge–Kutta methods",
// ACM TOMS 17 (1991) 533–554 (the controller). E. Hairer, S. P. Nørsett,
// G. Wanner, "Solving Ordinary Differential Equations I", section II.4 (first
// step). K. L. Hiebert, L. F. Shampine, "Implicitly defined output points for
// solutions of ODEs", Sandia report SAND80-0180 (1980) (events; the idea that an
// event which is zero at the start sleeps until it has moved away).
package ode
