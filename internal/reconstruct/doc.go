// Package reconstruct is the one orchestrator of a pass: it cuts a log into
// passes, finds the motion, then the gears, then the motion again with what the
// gears tell, then force and grip. It decides nothing about what is good or bad.
//
// Radius and slip need the gears and the gears need speed: two sweeps, each
// taking the other's result as plain data.
package reconstruct
