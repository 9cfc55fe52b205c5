// Package xrand splits one seed into independent streams of random numbers by
// name, so that adding a draw in one place moves nothing elsewhere.
//
// Each stream is a PCG-DXSM generator of math/rand/v2 whose 128 bits of state
// come from the first 16 bytes of SHA-256 over the seed and the name. The same
// seed and name give the same numbers on every platform. It is not for secrets.
package xrand

import (
	"crypto/sha256"
	"encoding/binary"
	"math/rand/v2"
)

// Stream returns the stream of random numbers called name under seed.
func Stream(seed uint64, name string) *rand.Rand {
	h := digest(seed, name)
	return rand.New(rand.NewPCG(binary.LittleEndian.Uint64(h[:8]), binary.LittleEndian.Uint64(h[8:16])))
}

// Sub returns a new seed that belongs to name under seed. Sub(s, "a/b") and
// Sub(Sub(s, "a"), "b") differ.
func Sub(seed uint64, name string) uint64 {
	h := digest(seed, name)
	return binary.LittleEndian.Uint64(h[16:24])
}

func digest(seed uint64, name string) [32]byte {
	b := make([]byte, 8, 8+len(name))
	binary.LittleEndian.PutUint64(b, seed)
	return sha256.Sum256(append(b, name...))
}
