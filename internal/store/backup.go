package store

import (
	"archive/zip"
	"bytes"
	"compress/flate"
	"context"
	"crypto/sha256"
	"database/sql"
	"encoding/hex"
	"encoding/json"
	"fmt"
	"io"
	"os"
	"path/filepath"
	"time"

	"traplight/internal/atomicfile"
)

// The backup is a zip archive that any tool opens: the originals under their
// SHA-256, a whole copy of the database, and, last, a manifest with size and
// SHA-256 of each. docs/store.md describes it.
const (
	manifestName   = "manifest.json"
	backupFormat   = "traplight backup"
	backupVersion  = 1
	maxManifest    = 64 << 20 // bytes; some 600 000 files
	backupFileMode = 0o600
)

// Manifest says what is in a backup.
type Manifest struct {
	Format      string         `json:"format"`       // "traplight backup"
	Version     int            `json:"version"`      // of the archive's layout
	StoreFormat int            `json:"store_format"` // of the database
	MadeAt      string         `json:"made_at"`      // UTC
	Program     string         `json:"program"`
	Files       []ManifestFile `json:"files"`
}

// ManifestFile is one file of a backup.
type ManifestFile struct {
	Path   string `json:"path"` // with slashes
	Size   int64  `json:"size_bytes"`
	SHA256 string `json:"sha256"`
}

// Backup writes everything, the trash too, into one file, which
// appears whole or not at all. An original that does not have its sum any more
// is an error: a backup does not spread damage.
func (s *Store) Backup(ctx context.Context, file string, tell func(done, total int)) (*Manifest, error) {
	w, err := atomicfile.Create(file)
	if err != nil {
		return nil, advise(err)
	}
	defer w.Abort()
	m, err := s.writeBackup(ctx, w, filepath.Dir(file), tell)
	if err == nil {
		_, err = w.Commit(backupFileMode)
	}
	return m, wrap("back up to "+filepath.Base(file), err)
}

func (s *Store) writeBackup(ctx context.Context, out io.Writer, dir string, tell func(done, total int)) (*Manifest, error) {
	m := &Manifest{Format: backupFormat, Version: backupVersion, StoreFormat: Format(), Program: s.program, MadeAt: s.stamp()}
	z := zip.NewWriter(out)
	z.RegisterCompressor(zip.Deflate, func(w io.Writer) (io.WriteCloser, error) { return flate.NewWriter(w, flate.DefaultCompression) })
	db, logs, err := s.snapshot(ctx, dir)
	if err != nil {
		return nil, err
	}
	defer os.Remove(db)
	if err := m.put(z, db, dbName, ""); err != nil {
		return nil, err
	}
	for i, l := range logs {
		if err := ctx.Err(); err != nil {
			return nil, err
		}
		if err := m.put(z, s.original(l.SHA256), originalsDir+"/"+l.SHA256, l.SHA256); err != nil {
			return nil, &Hinted{fmt.Errorf("%s: %w", l.File, err), "`traplight verify` tells what to do"}
		}
		if tell != nil {
			tell(i+1, len(logs))
		}
	}
	text, err := json.MarshalIndent(m, "", "  ")
	if err != nil {
		return nil, err
	}
	f, err := z.CreateHeader(&zip.FileHeader{Name: manifestName, Method: zip.Deflate, Modified: time.Unix(0, 0).UTC()})
	if err != nil {
		return nil, err
	}
	if _, err := f.Write(append(text, '\n')); err != nil {
		return nil, err
	}
	return m, z.Close()
}

// snapshot copies the database into dir, and lists the logs that the copy knows. The
// originals only ever grow while nobody drops one, and a log dropped during the
// backup makes it fail rather than be wrong.
func (s *Store) snapshot(ctx context.Context, dir string) (db string, logs []Log, err error) {
	f, err := os.CreateTemp(dir, ".tmp-*.db")
	if err != nil {
		return "", nil, plainErr(err)
	}
	db = f.Name()
	f.Close()
	err = s.locked(ctx, func(conn *sql.Conn) error {
		if err := s.recover(context.WithoutCancel(ctx), conn); err != nil {
			return err
		}
		if _, err := conn.ExecContext(ctx, "VACUUM INTO ?", db); err != nil {
			return err
		}
		logs, err = s.Logs(ctx)
		return err
	})
	if err != nil {
		os.Remove(db)
	}
	return db, logs, err
}

// put adds one file to the archive; want is its SHA-256, "" when not known.
func (m *Manifest) put(z *zip.Writer, from, name, want string) error {
	src, err := os.Open(from)
	if err != nil {
		return plainErr(err)
	}
	defer src.Close()
	dst, err := z.CreateHeader(&zip.FileHeader{Name: name, Method: zip.Deflate, Modified: time.Unix(0, 0).UTC()})
	if err != nil {
		return err
	}
	sum := sha256.New()
	n, err := io.Copy(io.MultiWriter(dst, sum), src)
	if err != nil {
		return err
	}
	got := hex.EncodeToString(sum.Sum(nil))
	if want != "" && got != want {
		return fmt.Errorf("the original %s: %w", short(want), ErrDamaged)
	}
	m.Files = append(m.Files, ManifestFile{name, n, got})
	return nil
}

// ReadManifest reads what a backup says of itself.
func ReadManifest(file string) (*Manifest, error) {
	z, err := zip.OpenReader(file)
	if err != nil {
		return nil, notBackup(file, err)
	}
	defer z.Close()
	return manifest(file, &z.Reader)
}

func manifest(file string, z *zip.Reader) (*Manifest, error) {
	f, err := z.Open(manifestName)
	if err != nil {
		return nil, notBackup(file, err)
	}
	defer f.Close()
	var b bytes.Buffer
	if _, err := io.Copy(&b, io.LimitReader(f, maxManifest)); err != nil {
		return nil, notBackup(file, err)
	}
	m := &Manifest{}
	if err := json.Unmarshal(b.Bytes(), m); err != nil || m.Format != backupFormat {
		return nil, notBackup(file, err)
	}
	if m.Version > backupVersion || m.StoreFormat > Format() {
		return nil, &Hinted{fmt.Errorf("%s: %w", filepath.Base(file), ErrNewer), "install that newer traplight"}
	}
	return m, nil
}

func notBackup(file string, err error) error {
	e := fmt.Errorf("%s is not a whole backup", filepath.Base(file))
	if err != nil {
		e = fmt.Errorf("%w: %w", e, plainErr(err))
	}
	return &Hinted{e, "it may have been cut short while it was copied; take another copy"}
}
