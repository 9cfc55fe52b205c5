package store

import (
	"context"
	"database/sql"
	"embed"
	"fmt"
	"io/fs"
	"path"
	"strconv"
	"strings"

	"traplight/internal/atomicfile"
)

//go:embed migrations/*.sql
var embedded embed.FS

// migrations is what leads from format to format. Tests add a step to it.
var migrations fs.FS = embedded

// Format is the newest store format that this program knows, and the one it
// writes. Step n of the migrations leads from format n-1 to n.
func Format() int { return len(steps()) }

// steps returns the migrations in order; they are numbered without a gap.
func steps() []string {
	names, err := fs.Glob(migrations, "migrations/*.sql")
	if err != nil {
		panic(err) // the pattern is constant
	}
	for i, name := range names { // Glob sorts
		n, err := strconv.Atoi(strings.TrimSuffix(path.Base(name), ".sql"))
		if err != nil || n != i+1 {
			panic("store: migrations are not numbered without a gap: " + name)
		}
	}
	return names
}

// prepare checks whose file it is and brings its format up to date.
func (s *Store) prepare(ctx context.Context) error {
	have, err := format(ctx, s.write)
	if err != nil || have == Format() {
		return err
	}
	return s.locked(ctx, func(conn *sql.Conn) error {
		// Another process may have done it while this one waited.
		have, err := format(ctx, conn)
		if err != nil {
			return err
		}
		if err := s.sweep(); err != nil {
			return err
		}
		for ; have < Format(); have++ {
			if err := s.step(ctx, conn, have); err != nil {
				return fmt.Errorf("bring the store from format %d to %d: %w", have, have+1, err)
			}
		}
		return nil
	})
}

// format reads the number of the store's format, 0 for an empty database.
func format(ctx context.Context, q rowQuerier) (int, error) {
	var version, app, tables int
	err := q.QueryRowContext(ctx, `SELECT (SELECT user_version FROM pragma_user_version),
		(SELECT application_id FROM pragma_application_id), (SELECT count(*) FROM sqlite_schema)`).Scan(&version, &app, &tables)
	switch {
	case err != nil:
		return 0, err
	case version == 0 && app == 0 && tables == 0:
		return 0, nil
	case app != applicationID:
		return 0, fmt.Errorf("%s: %w", dbName, ErrForeign)
	case version > Format():
		return 0, &Hinted{fmt.Errorf("%w (format %d; this one knows up to %d)", ErrNewer, version, Format()), "install that newer traplight, or name another folder with --data"}
	}
	return version, nil
}

// step makes one migration, in one transaction, after copying the database.
func (s *Store) step(ctx context.Context, conn *sql.Conn, from int) error {
	if from > 0 {
		name := fmt.Sprintf("format-%d-%s.db", from, s.now().UTC().Format("20060102T150405.000"))
		if err := s.copyDatabase(ctx, conn, s.path(copiesDir, name)); err != nil {
			return err
		}
	}
	text, err := fs.ReadFile(migrations, steps()[from])
	if err != nil {
		return err
	}
	return transact(ctx, conn, func(tx *Tx) error {
		_, err := conn.ExecContext(ctx, fmt.Sprintf("%s;\nPRAGMA application_id = %d; PRAGMA user_version = %d;", text, applicationID, from+1))
		return err
	})
}

// copyDatabase writes a whole, self-contained copy of the database as it is.
func (s *Store) copyDatabase(ctx context.Context, conn *sql.Conn, name string) error {
	w, err := atomicfile.Create(name)
	if err != nil {
		return err
	}
	defer w.Abort()
	// The engine wants to fill an empty file or make a new one.
	if _, err := conn.ExecContext(ctx, "VACUUM INTO ?", w.TempName()); err != nil {
		return fmt.Errorf("copy the database: %w", err)
	}
	if err := w.Rescan(); err != nil {
		return err
	}
	_, err = w.Commit(0o600)
	return err
}
