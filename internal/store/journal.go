package store

import (
	"context"
	"crypto/sha256"
	"database/sql"
	"encoding/hex"
	"errors"
	"strings"
)

// Line is one change that was made to the store.
type Line struct {
	ID      int64  `json:"id"`
	At      string `json:"at"`      // UTC
	Action  string `json:"action"`  // "add log", "remove", "record forecast", …
	Subject string `json:"subject"` // what it was done to
	Detail  string `json:"detail,omitempty"`
}

// record adds a line to the journal inside a change.
func (s *Store) record(tx *Tx, action, subject, detail string) error {
	previous, err := lastChain(tx, "journal")
	if err != nil {
		return err
	}
	at := s.stamp()
	_, err = tx.exec("INSERT INTO journal (at, action, subject, detail, previous, chain) VALUES (?, ?, ?, ?, ?, ?)",
		at, action, subject, detail, previous, link(previous, at, action, subject, detail))
	return err
}

// Journal returns the newest lines first, at most limit of them.
func (s *Store) Journal(ctx context.Context, limit int) ([]Line, error) {
	return rows(ctx, s.read, func(scan func(...any) error) (l Line, err error) {
		return l, scan(&l.ID, &l.At, &l.Action, &l.Subject, &l.Detail)
	}, "SELECT id, at, action, subject, detail FROM journal ORDER BY id DESC LIMIT ?", limit)
}

// lastChain is the end of the chain of table "journal" or "forecast".
func lastChain(tx *Tx, table string) (chain string, err error) {
	err = tx.row("SELECT chain FROM " + table + " ORDER BY id DESC LIMIT 1").Scan(&chain)
	if errors.Is(err, sql.ErrNoRows) {
		return "", nil
	}
	return chain, err
}

// link is the SHA-256 of a row's texts and of the row before: the texts, each
// ended by a zero byte. None of them may hold one.
func link(previous string, texts ...string) string {
	h := sha256.New()
	for _, t := range append([]string{previous}, texts...) {
		h.Write([]byte(strings.ReplaceAll(t, "\x00", "\ufffd") + "\x00"))
	}
	return hex.EncodeToString(h.Sum(nil))
}

func sumOf(data []byte) string {
	h := sha256.Sum256(data)
	return hex.EncodeToString(h[:])
}
