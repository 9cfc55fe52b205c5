package store

import (
	"archive/zip"
	"context"
	"errors"
	"fmt"
	"io"
	"os"
	"path/filepath"
	"strings"
	"time"

	"github.com/gofrs/flock"

	"traplight/internal/atomicfile"
)

// RestoreBackup makes the store that is in a backup. It is built and verified
// in a folder beside dir, which then takes dir's place in one rename: a kill
// leaves dir as it was. A store that is in dir already is an error, unless
// replace is set: then it is moved aside, whole, to the folder returned.
func RestoreBackup(ctx context.Context, file, dir string, replace bool, tell func(done, total int)) (aside string, err error) {
	if dir, err = filepath.Abs(dir); err != nil {
		return "", err
	}
	doing := "restore " + filepath.Base(file)
	exists := false
	switch entries, err := os.ReadDir(dir); {
	case err == nil && len(entries) > 0:
		exists = true
	case err != nil && !errors.Is(err, os.ErrNotExist):
		return "", wrap(doing, plainErr(err))
	}
	if exists && !replace {
		return "", &Hinted{fmt.Errorf("%s to %s: %w", doing, dir, ErrExists), "name a new folder with --data, or let it be moved aside with --replace"}
	}
	z, err := zip.OpenReader(file)
	if err != nil {
		return "", notBackup(file, err)
	}
	defer z.Close()
	m, err := manifest(file, &z.Reader)
	if err != nil {
		return "", err
	}
	if err := atomicfile.OS.MkdirAll(filepath.Dir(dir), 0o700); err != nil {
		return "", wrap(doing, plainErr(err))
	}
	build, err := os.MkdirTemp(filepath.Dir(dir), "."+filepath.Base(dir)+".restoring-*")
	if err != nil {
		return "", wrap(doing, plainErr(err))
	}
	defer removeAll(build) // gone already after the rename
	if err := unpackBackup(ctx, &z.Reader, m, build, tell); err != nil {
		return "", wrap(doing, err)
	}
	if err := proveStore(ctx, build); err != nil {
		return "", wrap(doing, err)
	}
	if exists {
		aside = fmt.Sprintf("%s.before-restore-%s", dir, time.Now().UTC().Format("20060102T150405.000"))
		if err := moveStore(ctx, dir, aside); err != nil {
			return "", wrap(doing, err)
		}
	} else if err := os.Remove(dir); err != nil && !errors.Is(err, os.ErrNotExist) { // an empty folder
		return "", wrap(doing, plainErr(err))
	}
	if err := atomicfile.OS.Rename(build, dir); err != nil {
		if aside != "" {
			atomicfile.OS.Rename(aside, dir)
		}
		return "", wrap(doing, plainErr(err))
	}
	return aside, wrap(doing, atomicfile.OS.SyncDir(filepath.Dir(dir)))
}

// unpackBackup writes each file that the manifest names, and only those.
func unpackBackup(ctx context.Context, z *zip.Reader, m *Manifest, dir string, tell func(done, total int)) error {
	for i, f := range m.Files {
		if err := ctx.Err(); err != nil {
			return err
		}
		mode := os.FileMode(0o600)
		switch name, isOriginal := strings.CutPrefix(f.Path, originalsDir+"/"); {
		case isOriginal && name == f.SHA256 && isSum(name):
			mode = 0o400
		case f.Path != dbName:
			return fmt.Errorf("the manifest names %q, which does not belong into a store: %w", f.Path, ErrDamaged)
		}
		src, err := z.Open(f.Path)
		if err != nil {
			return fmt.Errorf("%s: %w", f.Path, plainErr(err))
		}
		// One byte more than stated shows a file that is longer.
		sum, err := atomicfile.Copy(filepath.Join(dir, filepath.FromSlash(f.Path)), io.LimitReader(src, f.Size+1), mode)
		src.Close()
		if err != nil {
			return err
		}
		if sum != (atomicfile.Sum{Size: f.Size, SHA256: f.SHA256}) {
			return fmt.Errorf("%s differs from the manifest: %w", f.Path, ErrDamaged)
		}
		if tell != nil {
			tell(i+1, len(m.Files))
		}
	}
	return atomicfile.OS.MkdirAll(filepath.Join(dir, originalsDir), 0o700)
}

func isSum(s string) bool { return len(s) == 64 && strings.Trim(s, "0123456789abcdef") == "" }

// proveStore opens and verifies a store before anything relies on it.
func proveStore(ctx context.Context, dir string) error {
	s, err := Open(ctx, Options{Dir: dir})
	if err != nil {
		return err
	}
	defer s.Close()
	c, err := s.Verify(ctx, nil)
	if err != nil {
		return err
	}
	if len(c.Faults) > 0 {
		return &Hinted{fmt.Errorf("%s: %w", c.Faults[0].What, ErrDamaged), c.Faults[0].Hint}
	}
	return nil
}

// moveStore renames the folder of a store that nobody is writing to.
func moveStore(ctx context.Context, from, to string) error {
	lock := flock.New(filepath.Join(from, lockName))
	wait, cancel := context.WithTimeout(ctx, defaultLockWait)
	defer cancel()
	if ok, err := lock.TryLockContext(wait, lockPoll); !ok {
		lock.Close()
		if ctx.Err() != nil || err == nil {
			return ctx.Err()
		}
		return &Hinted{ErrBusy, "wait for it to finish and do it again"}
	}
	// Windows moves no folder with an open file in it.
	if err := lock.Close(); err != nil {
		return err
	}
	return plainErr(atomicfile.OS.Rename(from, to))
}

// removeAll removes a folder with read-only files in it.
func removeAll(dir string) {
	filepath.WalkDir(dir, func(path string, _ os.DirEntry, err error) error {
		if err == nil {
			os.Chmod(path, 0o700)
		}
		return nil
	})
	os.RemoveAll(dir)
}
