// Package real holds the readers, the dictionary and the reconstruction against
// measured drives that nobody of this project made. They are read in place from the
// folder beside the project (../shared/data) and skipped where it is absent; none is
// copied. What is true of each stands in the SOURCE.md beside it and is repeated in
// the rows here.
//
//	go test -v ./bench/real      # prints the table
package real
