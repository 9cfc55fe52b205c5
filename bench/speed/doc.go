// Package speed measures how long the report takes, with benchmarks only:
//
//	go test -bench . -benchmem ./bench/speed
package speed
