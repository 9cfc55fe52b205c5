// Package atomicfile writes a file so that its name never stands for half of
// it: whoever opens the name, at whatever moment the writer is killed or the
// disk fills, finds the whole new file, or what was there before.
//
// The way: a temporary file in the same folder (a rename across file systems
// is a copy), the bytes counted and summed on their way, the size asked back,
// read-only if wanted, sync (or the name could outlive the contents in a power
// cut), close (Windows renames no open file), rename, sync the folder (or the
// name itself could be lost).
//
// It protects against a killed process and a full disk, and, as far as the
// system's sync keeps its promise, against loss of power. It takes no lock.
package atomicfile

import (
	"crypto/sha256"
	"encoding/hex"
	"errors"
	"fmt"
	"hash"
	"io"
	"io/fs"
	"os"
	"path/filepath"
	"strings"
)

// tempPrefix marks files that a killed writer may leave behind.
const tempPrefix = ".tmp-"

// ErrShort says that the system holds fewer bytes than were written.
var ErrShort = errors.New("the disk holds fewer bytes than were written")

// Sum describes what was written.
type Sum struct {
	Size   int64  // bytes
	SHA256 string // lower-case hex
}

// Writer is a file that does not exist yet under its own name. End it with
// Commit or Abort; Abort after Commit does nothing.
type Writer struct {
	name string
	f    File
	sum  hash.Hash
	n    int64
	err  error
	done bool
}

// Create begins the file called name; its folder is made when missing.
func Create(name string) (*Writer, error) {
	w := &Writer{name: name, sum: sha256.New()}
	if err := OS.MkdirAll(filepath.Dir(name), 0o700); err != nil {
		return nil, w.wrap("make the folder of", err)
	}
	f, err := OS.CreateTemp(filepath.Dir(name), tempPrefix+"*")
	if err != nil {
		return nil, w.wrap("write", err)
	}
	w.f = f
	return w, nil
}

// Write adds bytes; the first error stays.
func (w *Writer) Write(p []byte) (int, error) {
	if w.err != nil {
		return 0, w.err
	}
	n, err := w.f.Write(p)
	w.n += int64(n)
	w.sum.Write(p[:n])
	if err == nil && n < len(p) {
		err = io.ErrShortWrite
	}
	if err != nil {
		w.err = w.wrap("write", err)
	}
	return n, w.err
}

// TempName is the name under which the bytes are until Commit. A program that
// writes by itself (a database's own copy) may be pointed at it; then call
// Rescan before Commit.
func (w *Writer) TempName() string { return w.f.Name() }

// Rescan sums and counts the temporary file as it is on the disk, for contents
// that did not come through Write.
func (w *Writer) Rescan() error {
	f, err := os.Open(w.f.Name())
	if err != nil {
		return w.wrap("read back", err)
	}
	defer f.Close()
	w.sum.Reset()
	if w.n, err = io.Copy(w.sum, f); err != nil {
		return w.wrap("read back", err)
	}
	return nil
}

// Sum is what has been written so far.
func (w *Writer) Sum() Sum {
	return Sum{Size: w.n, SHA256: hex.EncodeToString(w.sum.Sum(nil))}
}

// Commit gives the file its name with the permission mode. After an error the
// name stands for what it stood for before, except when the last step, syncing
// the folder, failed: then the file is there, whole, but might not survive a
// loss of power.
func (w *Writer) Commit(mode fs.FileMode) (Sum, error) {
	defer w.Abort()
	if w.err != nil {
		return Sum{}, w.err
	}
	info, err := w.f.Stat()
	if err == nil && info.Size() != w.n {
		err = fmt.Errorf("%w (%d of %d)", ErrShort, info.Size(), w.n)
	}
	if err != nil {
		return Sum{}, w.wrap("write", err)
	}
	// The mode is set before the rename: there is no moment at which the name
	// is there and the file can be written to.
	if err := w.f.Chmod(mode); err != nil {
		return Sum{}, w.wrap("set the permission of", err)
	}
	if err := w.f.Sync(); err != nil {
		return Sum{}, w.wrap("sync", err)
	}
	if err := w.f.Close(); err != nil {
		return Sum{}, w.wrap("close", err)
	}
	if err := OS.Rename(w.f.Name(), w.name); err != nil {
		return Sum{}, w.wrap("name", err)
	}
	w.done = true
	if err := OS.SyncDir(filepath.Dir(w.name)); err != nil {
		return Sum{}, w.wrap("sync the folder of", err)
	}
	return w.Sum(), nil
}

// Abort removes the temporary file, as well as that can be done.
func (w *Writer) Abort() {
	if w.done {
		return
	}
	w.done = true
	w.f.Close() // a second close after a failed rename is harmless
	OS.Remove(w.f.Name())
}

// wrap names the file, not the temporary one, and leaves out the system call.
func (w *Writer) wrap(verb string, err error) error {
	var p *fs.PathError
	if errors.As(err, &p) {
		err = p.Err
	}
	var l *os.LinkError
	if errors.As(err, &l) {
		err = l.Err
	}
	return fmt.Errorf("%s %s: %w", verb, filepath.Base(w.name), err)
}

// Copy writes all of src to name with the permission mode.
func Copy(name string, src io.Reader, mode fs.FileMode) (Sum, error) {
	w, err := Create(name)
	if err != nil {
		return Sum{}, err
	}
	if _, err := io.Copy(w, src); err != nil {
		w.Abort()
		if w.err == nil { // the reader's error, not ours
			err = w.wrap("copy to", err)
		}
		return Sum{}, err
	}
	return w.Commit(mode)
}

// Leftovers lists the temporary files in dir that no living writer owns any
// more. The caller must know that none is at work there.
func Leftovers(dir string) ([]string, error) {
	entries, err := os.ReadDir(dir)
	if errors.Is(err, fs.ErrNotExist) {
		return nil, nil
	}
	if err != nil {
		return nil, err
	}
	var out []string
	for _, e := range entries {
		if strings.HasPrefix(e.Name(), tempPrefix) && e.Type().IsRegular() {
			out = append(out, filepath.Join(dir, e.Name()))
		}
	}
	return out, nil
}
