package store

import (
	"context"
	"database/sql"
	"fmt"
)

// Remove puts passes into the trash, by name. Nothing is deleted: they are left
// out of every list until Restore. A log none of whose passes is left goes too.
func (s *Store) Remove(ctx context.Context, names ...string) error {
	return wrap("remove", s.change(ctx, "remove", list(names), func(tx *Tx) error {
		for _, name := range names {
			if err := one(tx, name, "UPDATE pass SET removed_at = coalesce(removed_at, ?) WHERE name = ? AND gone_at IS NULL", s.stamp(), name); err != nil {
				return err
			}
		}
		return hideEmptyLogs(tx, s.stamp())
	}))
}

// RemoveLog puts a log and all its passes into the trash; it serves for logs
// that hold no pass.
func (s *Store) RemoveLog(ctx context.Context, sum string) error {
	return wrap("remove", s.change(ctx, "remove log", short(sum), func(tx *Tx) error {
		return one(tx, "log "+short(sum), "UPDATE log SET removed_at = coalesce(removed_at, ?) WHERE sha256 = ? AND dropped_at IS NULL", s.stamp(), sum)
	}))
}

// Restore takes passes out of the trash, with their logs.
func (s *Store) Restore(ctx context.Context, names ...string) error {
	return wrap("restore", s.change(ctx, "restore", list(names), func(tx *Tx) error {
		for _, name := range names {
			// A log that was removed whole comes back with the passes asked for only.
			_, err := tx.exec(`UPDATE pass SET removed_at = coalesce(removed_at, (SELECT removed_at FROM log WHERE log.id = log_id))
				WHERE log_id = (SELECT log_id FROM pass WHERE name = ?)`, name)
			if err != nil {
				return err
			}
			if err := one(tx, name, "UPDATE pass SET removed_at = NULL WHERE name = ? AND log_id IN (SELECT id FROM log WHERE dropped_at IS NULL)", name); err != nil {
				return err
			}
			if _, err := tx.exec("UPDATE log SET removed_at = NULL WHERE id = (SELECT log_id FROM pass WHERE name = ?)", name); err != nil {
				return err
			}
		}
		return nil
	}))
}

// RestoreLog takes a log and all its passes out of the trash.
func (s *Store) RestoreLog(ctx context.Context, sum string) error {
	return wrap("restore", s.change(ctx, "restore log", short(sum), func(tx *Tx) error {
		if err := one(tx, "log "+short(sum), "UPDATE log SET removed_at = NULL WHERE sha256 = ? AND dropped_at IS NULL", sum); err != nil {
			return err
		}
		_, err := tx.exec("UPDATE pass SET removed_at = NULL WHERE log_id = (SELECT id FROM log WHERE sha256 = ?)", sum)
		return err
	}))
}

// Drop throws a log that is in the trash away for good: its bytes and reports.
// What was recorded of its passes (name, forecast, score, inspection, journal)
// stays. Adding the file again brings its passes back under their names.
func (s *Store) Drop(ctx context.Context, sum string) error {
	return wrap("drop", s.locked(ctx, func(conn *sql.Conn) error {
		free := context.WithoutCancel(ctx)
		if err := s.recover(free, conn); err != nil {
			return err
		}
		err := transact(free, conn, func(tx *Tx) error {
			err := one(tx, "log "+short(sum), "UPDATE log SET dropped_at = ? WHERE sha256 = ? AND removed_at IS NOT NULL AND dropped_at IS NULL", s.stamp(), sum)
			if err != nil {
				return err
			}
			for _, q := range []string{
				"UPDATE pass SET result_id = NULL WHERE log_id = (SELECT id FROM log WHERE sha256 = ?)",
				"DELETE FROM result WHERE log_id = (SELECT id FROM log WHERE sha256 = ?)",
				"INSERT INTO pending (sha256, action, begun_at) VALUES (?, 'drop', strftime('%Y-%m-%dT%H:%M:%fZ'))",
			} {
				if _, err := tx.exec(q, sum); err != nil {
					return err
				}
			}
			return s.record(tx, "drop log", short(sum), sum)
		})
		if err != nil {
			return err
		}
		s.forgetCached(sum)
		return s.discard(free, conn, sum)
	}))
}

// hideEmptyLogs puts logs into the trash all of whose passes are there.
func hideEmptyLogs(tx *Tx, at string) error {
	_, err := tx.exec(`UPDATE log SET removed_at = ? WHERE removed_at IS NULL
		AND EXISTS (SELECT 1 FROM pass WHERE log_id = log.id AND gone_at IS NULL)
		AND NOT EXISTS (SELECT 1 FROM pass WHERE log_id = log.id AND gone_at IS NULL AND removed_at IS NULL)`, at)
	return err
}

// one runs an UPDATE that must hit a row.
func one(tx *Tx, what, query string, args ...any) error {
	r, err := tx.exec(query, args...)
	if err != nil {
		return err
	}
	if n, err := r.RowsAffected(); err != nil || n > 0 {
		return err
	}
	return fmt.Errorf("%s: %w", what, ErrNotFound)
}

func list(names []string) string {
	out := ""
	for i, n := range names {
		if i > 0 {
			out += ", "
		}
		out += n
	}
	return out
}
