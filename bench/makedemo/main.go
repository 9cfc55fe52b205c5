// Makedemo writes invented logs with their truth, car sheets and notes into a
// folder, in the layout in which the accuracy bench expects logs.
//
//	go run ./bench/makedemo [-n 20] [-seed 1] DIR
package main

import (
	"flag"
	"fmt"
	"log"
	"os"
	"path/filepath"

	"traplight/internal/demo"
)

func main() {
	log.SetFlags(0)
	log.SetPrefix("makedemo: ")
	n := flag.Int("n", 20, "number of logs")
	seed := flag.Uint64("seed", 1, "seed")
	flag.Parse()
	if flag.NArg() != 1 {
		log.Fatal("usage: makedemo [-n 20] [-seed 1] DIR")
	}
	dir := flag.Arg(0)
	if err := os.MkdirAll(dir, 0o755); err != nil {
		log.Fatal(err)
	}
	put := func(name string, b []byte) {
		if err := os.WriteFile(filepath.Join(dir, name), b, 0o644); err != nil {
			log.Fatal(err)
		}
	}
	set := demo.Mixed(*n, *seed)
	for id, sheet := range set.Sheets {
		put("car_"+id+".toml", sheet)
	}
	put("passes.toml", set.Notes)
	for _, r := range set.Recordings {
		put(r.Name+".csv", r.CSV)
		put(r.Name+".truth.json", r.Truth)
	}
	fmt.Printf("%d logs in %s\n", len(set.Recordings), dir)
}
