// Package peers measures this project's readers beside a general-purpose
// engine, DuckDB 1.5.6 (MIT). It is a module of its own, so that the engine
// (cgo, some 70 MB) is no dependency of the product, and is no part of the
// regular checks. From this folder:
//
//	go test -bench . -benchtime 5x -count 3
//	go test -bench ByTurns -benchtime 9x -run x    (on a busy machine)
//	go test -run . -v
//
// The file read is 100 MB of invented numbers, 40 channels with three decimals,
// as recorders print them. Both readers have one thread.
package peers
