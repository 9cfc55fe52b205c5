// Package house holds the tests about the project itself: which room may use
// which, that every number names its unit, that the source is formatted and
// carries nothing that belongs to one machine. It has no code of its own.
package house
