package main

import (
	"bytes"
	"context"
	"testing"
)

// TestSpellings: odd ways to write a log that were once read wrong or refused.
func TestSpellings(t *testing.T) {
	var out bytes.Buffer
	err := runSpellings(context.Background(), options{dir: testData(), only: "a02",
		spellings: "separator: tilde,1.5d+02,blank: 0,apart,lap time,path of a group,engine Hz,vacuum,throttle volts,all twice,driven and"}, &out)
	if err != nil {
		t.Errorf("%v\n%s", err, out.String())
	}
}
