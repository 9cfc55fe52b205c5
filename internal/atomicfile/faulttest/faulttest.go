// Package faulttest lets the calls under package atomicfile fail one at a time,
// for tests of what a full disk, a missing permission or a kill leaves behind.
package faulttest

import (
	"io/fs"
	"sync/atomic"

	"traplight/internal/atomicfile"
)

// Hook is asked before the call number n (from 1) is made; an error it returns
// is the call's. Half of a write's bytes reach the disk before its error, as on
// a disk that fills. A hook may also end the process.
type Hook func(n int, call string) error

// Wrap returns sys with hook before every call, and the count of the calls.
func Wrap(sys atomicfile.System, hook Hook) (atomicfile.System, *atomic.Int64) {
	count := new(atomic.Int64)
	ask := func(call string) error { return hook(int(count.Add(1)), call) }
	return atomicfile.System{
		MkdirAll: func(dir string, mode fs.FileMode) error {
			if err := ask("mkdir"); err != nil {
				return err
			}
			return sys.MkdirAll(dir, mode)
		},
		CreateTemp: func(dir, pattern string) (atomicfile.File, error) {
			if err := ask("create"); err != nil {
				return nil, err
			}
			f, err := sys.CreateTemp(dir, pattern)
			if err != nil {
				return nil, err
			}
			return &file{f, ask}, nil
		},
		Rename: func(from, to string) error {
			if err := ask("rename"); err != nil {
				return err
			}
			return sys.Rename(from, to)
		},
		Remove: func(name string) error {
			if err := ask("remove"); err != nil {
				return err
			}
			return sys.Remove(name)
		},
		SyncDir: func(dir string) error {
			if err := ask("sync folder"); err != nil {
				return err
			}
			return sys.SyncDir(dir)
		},
	}, count
}

type file struct {
	atomicfile.File
	ask func(string) error
}

func (f *file) Write(p []byte) (int, error) {
	if err := f.ask("write"); err != nil {
		n, _ := f.File.Write(p[:len(p)/2])
		return n, err
	}
	return f.File.Write(p)
}

func (f *file) Chmod(m fs.FileMode) error {
	if err := f.ask("chmod"); err != nil {
		return err
	}
	return f.File.Chmod(m)
}

func (f *file) Sync() error {
	if err := f.ask("sync"); err != nil {
		return err
	}
	return f.File.Sync()
}

func (f *file) Close() error {
	if err := f.ask("close"); err != nil {
		f.File.Close()
		return err
	}
	return f.File.Close()
}
