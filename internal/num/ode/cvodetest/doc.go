// Package cvodetest lets checks hold package ode against CVODE, the variable-order
// solver of SUNDIALS for stiff and other problems (A. C. Hindmarsh et al.,
// "SUNDIALS: Suite of nonlinear and differential/algebraic equation solvers", ACM
// TOMS 31 (2005) 363–396; BSD licence). It is compiled only with the build tag cvode,
// with cgo and Debian's libsundials-dev (6.4.1 was used), and is no part of the
// program:
//
//	apt-get install libsundials-dev
//	go test -tags cvode -run CVODE -v ./internal/num/ode/... ./internal/sim/...
package cvodetest
