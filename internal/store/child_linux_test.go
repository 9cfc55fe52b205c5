package store_test

import (
	"os/signal"
	"syscall"
)

// limitFiles lets no file grow beyond a size, bytes; writing further is an error.
func limitFiles(bytes uint64) error {
	signal.Ignore(syscall.SIGXFSZ)
	return syscall.Setrlimit(syscall.RLIMIT_FSIZE, &syscall.Rlimit{Cur: bytes, Max: bytes})
}
