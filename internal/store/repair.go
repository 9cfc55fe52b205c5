package store

import (
	"context"
	"database/sql"
	"fmt"
	"slices"
	"strings"

	"traplight/internal/atomicfile"
)

const restoreHint = "restore the newest backup into a new folder, then add the logs since; the originals in this folder are whole logs and can be added again"

// Repair puts right what can be put right without losing anything, and returns
// a sentence for each thing done. Verify again afterwards.
func (s *Store) Repair(ctx context.Context) (done []string, err error) {
	check, err := s.Verify(ctx, nil)
	if err != nil {
		return nil, err
	}
	logs, err := s.Logs(ctx)
	if err != nil {
		return nil, err
	}
	err = s.locked(ctx, func(conn *sql.Conn) error {
		free := context.WithoutCancel(ctx)
		if err := s.recover(free, conn); err != nil {
			return err
		}
		left, err := atomicfile.Leftovers(s.path(originalsDir))
		if err != nil {
			return err
		}
		if err := s.sweep(); err != nil {
			return err
		}
		if len(left) > 0 {
			done = append(done, fmt.Sprintf("removed %d half-written files", len(left)))
		}
		for _, l := range logs {
			sum, err := SumFile(s.original(l.SHA256))
			if err != nil || (sum == atomicfile.Sum{Size: l.Size, SHA256: l.SHA256}) {
				continue
			}
			if err := s.putAside(l.SHA256); err != nil {
				return err
			}
			done = append(done, fmt.Sprintf("moved the damaged original of %s to %s", l.File, damagedDir))
		}
		if slices.ContainsFunc(check.Faults, func(f Fault) bool { return f.Repairable && strings.Contains(f.What, "index") }) {
			if _, err := conn.ExecContext(free, "REINDEX"); err != nil {
				return err
			}
			done = append(done, "built the indexes anew")
		}
		return nil
	})
	return done, wrap("repair", err)
}
