package store

import (
	"context"
	"crypto/sha256"
	"database/sql"
	"encoding/hex"
	"errors"
	"fmt"
	"io"
	"io/fs"
	"math"
	"os"
	"path/filepath"

	"traplight/internal/atomicfile"
)

// original is where the bytes with this SHA-256 are.
func (s *Store) original(sum string) string { return s.path(originalsDir, sum) }

// Original opens the log with this SHA-256 as it came.
func (s *Store) Original(sum string) (*os.File, error) {
	f, err := os.Open(s.original(sum))
	if errors.Is(err, fs.ErrNotExist) {
		return nil, &Hinted{fmt.Errorf("original %s: %w", short(sum), ErrNotFound), "add the log again from where it came, or restore a backup; `traplight verify` lists what is missing"}
	}
	return f, err
}

// OriginalPath is the file that holds the log with this SHA-256, to read only.
func (s *Store) OriginalPath(sum string) string { return s.original(sum) }

// SumFile gives size and SHA-256 of a file.
func SumFile(path string) (atomicfile.Sum, error) { return sumPart(path, math.MaxInt64) }

// sumPart is SumFile for the first size bytes.
func sumPart(path string, size int64) (atomicfile.Sum, error) {
	f, err := os.Open(path)
	if err != nil {
		return atomicfile.Sum{}, fmt.Errorf("read %s: %w", filepath.Base(path), plainErr(err))
	}
	defer f.Close()
	h := sha256.New()
	n, err := io.Copy(h, io.LimitReader(f, size))
	if err != nil {
		return atomicfile.Sum{}, fmt.Errorf("read %s: %w", filepath.Base(path), plainErr(err))
	}
	return atomicfile.Sum{Size: n, SHA256: hex.EncodeToString(h.Sum(nil))}, nil
}

// keep copies the file at path to the originals, which must come out with the
// sum want. It is written once and never again; an original that is there
// already is left alone when it is right, and put aside when it is damaged.
func (s *Store) keep(path string, want atomicfile.Sum) error {
	switch have, err := SumFile(s.original(want.SHA256)); {
	case err == nil && have == want:
		return nil
	case err == nil:
		if err := s.putAside(want.SHA256); err != nil {
			return err
		}
	}
	src, err := os.Open(path)
	if err != nil {
		return plainErr(err)
	}
	defer src.Close()
	w, err := atomicfile.Create(s.original(want.SHA256))
	if err != nil {
		return err
	}
	defer w.Abort()
	if _, err := io.Copy(w, src); err != nil {
		return plainErr(err)
	}
	if w.Sum() != want {
		return &Hinted{ErrChanged, "wait until the recorder has finished writing it and add it again"}
	}
	_, err = w.Commit(0o400)
	return err
}

// putAside moves a damaged original out of the way without destroying it.
func (s *Store) putAside(sum string) error {
	if err := atomicfile.OS.MkdirAll(s.path(damagedDir), 0o700); err != nil {
		return plainErr(err)
	}
	aside := s.path(damagedDir, sum+"-"+s.now().UTC().Format("20060102T150405.000"))
	return plainErr(atomicfile.OS.Rename(s.original(sum), aside))
}

// whole says whether the original is there, byte for byte.
func (s *Store) whole(want atomicfile.Sum) bool {
	have, err := SumFile(s.original(want.SHA256))
	return err == nil && have == want
}

// withOriginal keeps a file and makes the change that names it, so that a kill
// leaves both or neither:
//
//  1. one transaction says which original is being written;
//  2. the original is written (temporary file, sync, rename, sync);
//  3. one transaction makes the change and takes the first row back.
//
// Whoever writes next finds the row of a writer that died in between, and
// removes the original; see recover.
func (s *Store) withOriginal(ctx context.Context, path string, want atomicfile.Sum, action, subject string, do func(*Tx) error) error {
	return advise(s.locked(ctx, func(conn *sql.Conn) error {
		free := context.WithoutCancel(ctx)
		if err := s.recover(free, conn); err != nil {
			return err
		}
		// An original that is there although the catalogue lacks it (after a
		// lost database, say) is not ours to remove if this fails.
		_, statErr := os.Stat(s.original(want.SHA256))
		stray := statErr == nil
		if !stray {
			err := transact(free, conn, func(tx *Tx) error {
				_, err := tx.exec("INSERT INTO pending (sha256, action, begun_at) VALUES (?, 'add', ?)", want.SHA256, s.stamp())
				return err
			})
			if err != nil {
				return err
			}
		}
		if err := s.keep(path, want); err != nil {
			s.recover(free, conn) // else the next writer does it
			return err
		}
		err := transact(free, conn, func(tx *Tx) error {
			if err := do(tx); err != nil {
				return err
			}
			if _, err := tx.exec("DELETE FROM pending WHERE sha256 = ?", want.SHA256); err != nil {
				return err
			}
			return s.record(tx, action, subject, want.SHA256)
		})
		if err != nil {
			s.recover(free, conn) // else the next writer does it
		}
		return err
	}))
}

func short(sum string) string { return sum[:min(12, len(sum))] }
