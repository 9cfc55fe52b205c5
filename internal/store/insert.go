package store

import (
	"context"
	"database/sql"
	"errors"
	"strconv"
	"strings"
)

// insertLog writes the rows of a new log, or of one that was dropped for good
// and has come back, and names its passes.
func (s *Store) insertLog(tx *Tx, p proposal) ([]string, error) {
	l, err := s.logBySum(tx.ctx, tx.conn, p.sum.SHA256)
	switch {
	case errors.Is(err, sql.ErrNoRows):
		l.id, err = tx.insert("INSERT INTO log (sha256, file, size_bytes, start, added_at) VALUES (?, ?, ?, ?, ?)",
			p.sum.SHA256, p.file, p.sum.Size, p.analysis.Start, s.stamp())
	case err == nil && !l.dropped:
		return nil, errKnown
	case err == nil:
		_, err = tx.exec("UPDATE log SET removed_at = NULL, dropped_at = NULL WHERE id = ?", l.id)
	}
	if err != nil {
		return nil, err
	}
	if _, err := tx.exec("INSERT OR IGNORE INTO log_name (log_id, file) VALUES (?, ?)", l.id, p.file); err != nil {
		return nil, err
	}
	for _, sum := range p.shorter {
		// The passes move to the longer log, and keep their names there; the
		// shorter one goes to the trash.
		if _, err := tx.exec("UPDATE pass SET log_id = ? WHERE log_id = (SELECT id FROM log WHERE sha256 = ?)", l.id, sum); err != nil {
			return nil, err
		}
		if _, err := tx.exec("UPDATE log SET removed_at = ? WHERE sha256 = ?", s.stamp(), sum); err != nil {
			return nil, err
		}
	}
	if err := s.putAnalysis(tx, l.id, p.analysis); err != nil {
		return nil, err
	}
	return s.passNames(tx.ctx, tx.conn, p.sum.SHA256)
}

type logRow struct {
	id               int64
	removed, dropped bool
	names            []string
}

func (l logRow) named(file string) bool {
	for _, n := range l.names {
		if strings.EqualFold(n, file) {
			return true
		}
	}
	return false
}

type rowQuerier interface {
	querier
	QueryRowContext(context.Context, string, ...any) *sql.Row
}

func (s *Store) logBySum(ctx context.Context, q rowQuerier, sum string) (l logRow, err error) {
	err = q.QueryRowContext(ctx, "SELECT id, removed_at IS NOT NULL, dropped_at IS NOT NULL FROM log WHERE sha256 = ?", sum).Scan(&l.id, &l.removed, &l.dropped)
	if err != nil {
		return l, err
	}
	l.names, err = column[string](ctx, q, "SELECT file FROM log_name WHERE log_id = ?", l.id)
	return l, err
}

func (s *Store) passNames(ctx context.Context, q querier, sum string) ([]string, error) {
	return column[string](ctx, q, `SELECT pass.name FROM pass JOIN log ON log.id = log_id
		WHERE sha256 = ? AND gone_at IS NULL ORDER BY number`, sum)
}

// newName makes a name that no pass has: the car, the day, and a number that
// counts on, as in "marlin-2031-05-17-3".
func newName(tx *Tx, car, runAt string) (string, error) {
	base := slug(car)
	if base == "" {
		base = "pass"
	}
	if len(runAt) >= len("2006-01-02") {
		base += "-" + runAt[:len("2006-01-02")]
	}
	taken, err := column[string](tx.ctx, tx.conn, "SELECT name FROM pass WHERE name LIKE ? ESCAPE '\\'", likePrefix(base+"-"))
	if err != nil {
		return "", err
	}
	last := 0
	for _, name := range taken {
		if n, err := strconv.Atoi(name[len(base)+1:]); err == nil {
			last = max(last, n)
		}
	}
	return base + "-" + strconv.Itoa(last+1), nil
}
