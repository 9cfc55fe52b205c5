package atomicfile

import (
	"errors"
	"io"
	"io/fs"
	"os"
	"runtime"
	"syscall"
)

// File is what is needed of an open temporary file.
type File interface {
	io.Writer
	Name() string
	Sync() error
	Chmod(fs.FileMode) error
	Stat() (fs.FileInfo, error)
	Close() error
}

// System is the part of the operating system through which files are written.
type System struct {
	MkdirAll   func(dir string, mode fs.FileMode) error
	CreateTemp func(dir, pattern string) (File, error)
	Rename     func(from, to string) error
	Remove     func(name string) error
	SyncDir    func(dir string) error
}

// OS is the system in use. Only tests replace it, to let any one call fail or
// to end the process there; see package faulttest.
var OS = Plain()

// Plain returns the calls of the real system.
func Plain() System {
	return System{
		MkdirAll:   os.MkdirAll,
		CreateTemp: func(dir, pattern string) (File, error) { return os.CreateTemp(dir, pattern) },
		Rename:     os.Rename,
		Remove:     os.Remove,
		SyncDir:    syncDir,
	}
}

// syncDir makes a rename in dir durable. Windows has no such call, and some
// file systems refuse it; neither is an error that anybody could act on.
func syncDir(dir string) error {
	if runtime.GOOS == "windows" {
		return nil
	}
	d, err := os.Open(dir)
	if err != nil {
		return err
	}
	defer d.Close()
	err = d.Sync()
	if errors.Is(err, syscall.EINVAL) || errors.Is(err, syscall.ENOTSUP) {
		return nil
	}
	return err
}
