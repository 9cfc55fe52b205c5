package store

import (
	"context"
	"database/sql"
	"errors"
	"fmt"
	"os"
	"time"

	"traplight/internal/atomicfile"
)

// lockPoll is how often a waiting writer asks again.
const lockPoll = 20 * time.Millisecond

// Tx is a change in the making. Its methods run inside one transaction.
type Tx struct {
	ctx  context.Context
	conn *sql.Conn
}

func (tx *Tx) exec(query string, args ...any) (sql.Result, error) {
	return tx.conn.ExecContext(tx.ctx, query, args...)
}

// insert runs an INSERT and gives the new row's id.
func (tx *Tx) insert(query string, args ...any) (int64, error) {
	r, err := tx.exec(query, args...)
	if err != nil {
		return 0, err
	}
	return r.LastInsertId()
}

func (tx *Tx) row(query string, args ...any) *sql.Row {
	return tx.conn.QueryRowContext(tx.ctx, query, args...)
}

// locked runs do as the only writer: in this process, and on this machine.
// The wait honours ctx; the work itself is not interrupted.
func (s *Store) locked(ctx context.Context, do func(*sql.Conn) error) error {
	wait, cancel := context.WithTimeout(ctx, s.wait)
	defer cancel()
	select {
	case s.turn <- struct{}{}:
		defer func() { <-s.turn }()
	case <-wait.Done():
		return s.gaveUp(ctx)
	}
	switch ok, err := s.lock.TryLockContext(wait, lockPoll); {
	case ok:
		defer s.lock.Unlock()
	case errors.Is(err, context.DeadlineExceeded) || errors.Is(err, context.Canceled):
		return s.gaveUp(ctx)
	default:
		return fmt.Errorf("lock the store: %w", plainErr(err))
	}
	conn, err := s.write.Conn(context.WithoutCancel(ctx))
	if err != nil {
		return err
	}
	defer conn.Close()
	return do(conn)
}

func (s *Store) gaveUp(ctx context.Context) error {
	if err := ctx.Err(); err != nil {
		return err
	}
	return &Hinted{fmt.Errorf("%w, and did not finish within %v", ErrBusy, s.wait), "wait for it to finish and do it again"}
}

// change makes one change to the store: recovery of what an earlier writer
// left, then do in one transaction, with a line in the journal.
func (s *Store) change(ctx context.Context, action, subject string, do func(*Tx) error) error {
	return advise(s.locked(ctx, func(conn *sql.Conn) error {
		free := context.WithoutCancel(ctx)
		if err := s.recover(free, conn); err != nil {
			return err
		}
		return transact(free, conn, func(tx *Tx) error {
			if err := do(tx); err != nil {
				return err
			}
			return s.record(tx, action, subject, "")
		})
	}))
}

// transact runs do between BEGIN IMMEDIATE and COMMIT. The statements are
// given by hand, because after a failed COMMIT it is this code that must know
// whether the transaction still stands.
func transact(ctx context.Context, conn *sql.Conn, do func(*Tx) error) error {
	if _, err := conn.ExecContext(ctx, "BEGIN IMMEDIATE"); err != nil {
		return err
	}
	err := do(&Tx{ctx, conn})
	if err == nil {
		_, err = conn.ExecContext(ctx, "COMMIT")
	}
	if err != nil {
		// Some errors have rolled back already; then this one says so, and
		// there is nothing left to undo.
		conn.ExecContext(ctx, "ROLLBACK")
	}
	return err
}

// recover finishes what a killed or failed writer left: an original that was
// being added is taken away again (the catalogue does not know it, and the
// person was not told that it is kept), one that was being dropped goes.
//
// The rows are first marked in a transaction of their own. A commit that
// failed may still lie, whole, at the end of the write-ahead log, and would
// come back to life after a crash; the new commit overwrites it before the
// file it speaks of is removed.
func (s *Store) recover(ctx context.Context, conn *sql.Conn) error {
	left, err := column[string](ctx, conn, "SELECT sha256 FROM pending")
	if err != nil || len(left) == 0 {
		return err
	}
	err = transact(ctx, conn, func(tx *Tx) error {
		_, err := tx.exec("UPDATE pending SET action = 'drop'")
		return err
	})
	if err != nil {
		return fmt.Errorf("undo what a killed program left: %w", err)
	}
	for _, sum := range left {
		if err := s.discard(ctx, conn, sum); err != nil {
			return fmt.Errorf("undo what a killed program left: %w", err)
		}
	}
	return s.sweep()
}

// discard removes the original of a pending row, unless the catalogue has it,
// and then the row.
func (s *Store) discard(ctx context.Context, conn *sql.Conn, sum string) error {
	var kept int
	err := conn.QueryRowContext(ctx, "SELECT count(*) FROM log WHERE sha256 = ? AND dropped_at IS NULL", sum).Scan(&kept)
	if err != nil {
		return err
	}
	if kept == 0 {
		if err := atomicfile.OS.Remove(s.original(sum)); err != nil && !os.IsNotExist(err) {
			return plainErr(err)
		}
	}
	return transact(ctx, conn, func(tx *Tx) error {
		_, err := tx.exec("DELETE FROM pending WHERE sha256 = ?", sum)
		return err
	})
}

// sweep removes temporary files; the caller holds the lock, so nobody is
// writing one. (The cache is written without the lock and sees to itself.)
func (s *Store) sweep() error {
	for _, dir := range []string{"", originalsDir, copiesDir} {
		left, err := atomicfile.Leftovers(s.path(dir))
		if err != nil {
			return err
		}
		for _, name := range left {
			if err := atomicfile.OS.Remove(name); err != nil && !os.IsNotExist(err) {
				return plainErr(err)
			}
		}
	}
	return nil
}

type querier interface {
	QueryContext(context.Context, string, ...any) (*sql.Rows, error)
}

// column reads a query's only column.
func column[T any](ctx context.Context, q querier, query string, args ...any) ([]T, error) {
	return rows(ctx, q, func(scan func(...any) error) (v T, err error) { return v, scan(&v) }, query, args...)
}

// rows reads every row of a query with one.
func rows[T any](ctx context.Context, q querier, one func(scan func(...any) error) (T, error), query string, args ...any) ([]T, error) {
	r, err := q.QueryContext(ctx, query, args...)
	if err != nil {
		return nil, err
	}
	defer r.Close()
	var out []T
	for r.Next() {
		v, err := one(r.Scan)
		if err != nil {
			return nil, err
		}
		out = append(out, v)
	}
	return out, r.Err()
}
