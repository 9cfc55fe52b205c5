package store

import (
	"context"
	"database/sql"
	"errors"
	"slices"
	"strings"
)

// Kind is the sort of an entry in the notes.
type Kind string

// The kinds of entries.
const (
	PassEntry    Kind = "pass"
	PlannedEntry Kind = "planned"
	StripEntry   Kind = "strip"
	EventEntry   Kind = "event"
)

// Entry is one table of a notes file.
type Entry struct {
	Kind Kind   `json:"kind"`
	Key  string `json:"id"` // its id; for a pass without one, file and index
	Body string `json:"body"`
	// Revision counts from 1 for each kind and key; filled in by the store.
	Revision int    `json:"revision"`
	AddedAt  string `json:"added_at"` // UTC; filled in by the store
}

// AddNotes keeps a notes file as it came, and its entries. An entry that reads
// as the one before changes nothing; one that differs becomes its next
// revision. It returns the entries that are new or changed.
//
// With once, a file whose very bytes came before is passed over, so that an
// old copy lying in a watched folder does not undo a newer one.
func (s *Store) AddNotes(ctx context.Context, file string, data []byte, entries []Entry, once bool) (changed []Entry, err error) {
	sum := sumOf(data)
	var seen int
	if err := s.read.QueryRowContext(ctx, "SELECT count(*) FROM document WHERE sha256 = ?", sum).Scan(&seen); err != nil {
		return nil, wrap("add "+file, err)
	}
	if once && seen > 0 {
		return nil, nil
	}
	current, err := s.Entries(ctx, "")
	if err != nil {
		return nil, err
	}
	for _, e := range entries {
		same := func(c Entry) bool { return c.Kind == e.Kind && c.Key == e.Key && c.Body == e.Body }
		if !slices.ContainsFunc(current, same) {
			changed = append(changed, e)
		}
	}
	if seen > 0 && len(changed) == 0 {
		return nil, nil
	}
	err = s.change(ctx, "add notes", file, func(tx *Tx) error {
		document, err := s.putDocument(tx, file, sum, data)
		if err != nil {
			return err
		}
		for i, e := range changed {
			if err := s.putEntry(tx, &e, document); err != nil {
				return err
			}
			changed[i] = e
		}
		return nil
	})
	if err != nil {
		return nil, wrap("add "+file, err)
	}
	return changed, nil
}

// PutEntry keeps one entry that did not come in a file.
func (s *Store) PutEntry(ctx context.Context, e Entry) (Entry, error) {
	err := s.change(ctx, "write "+string(e.Kind), e.Key, func(tx *Tx) error { return s.putEntry(tx, &e, nil) })
	return e, wrap("write "+string(e.Kind)+" "+e.Key, err)
}

func (s *Store) putDocument(tx *Tx, file, sum string, data []byte) (id int64, err error) {
	err = tx.row("SELECT id FROM document WHERE sha256 = ?", sum).Scan(&id)
	if errors.Is(err, sql.ErrNoRows) {
		return tx.insert("INSERT INTO document (sha256, file, body, added_at) VALUES (?, ?, ?, ?)", sum, file, data, s.stamp())
	}
	return id, err
}

func (s *Store) putEntry(tx *Tx, e *Entry, document any) error {
	if e.Key == "" {
		return errors.New("an entry of the notes needs an id, or a file and an index")
	}
	if err := tx.row("SELECT coalesce(max(revision), 0) + 1 FROM entry WHERE kind = ? AND key = ?", e.Kind, e.Key).Scan(&e.Revision); err != nil {
		return err
	}
	e.AddedAt = s.stamp()
	_, err := tx.exec("INSERT INTO entry (kind, key, revision, body, sha256, document_id, added_at) VALUES (?, ?, ?, ?, ?, ?, ?)",
		e.Kind, e.Key, e.Revision, e.Body, sumOf([]byte(e.Body)), document, e.AddedAt)
	return err
}

// Entries lists the newest revision of every entry of a kind ("" for all), in
// the order in which they first came.
func (s *Store) Entries(ctx context.Context, kind Kind) ([]Entry, error) {
	list, err := rows(ctx, s.read, func(scan func(...any) error) (e Entry, err error) {
		return e, scan(&e.Kind, &e.Key, &e.Body, &e.Revision, &e.AddedAt)
	}, `SELECT kind, key, body, revision, added_at FROM entry AS e
		WHERE (?1 = '' OR kind = ?1) AND revision = (SELECT max(revision) FROM entry WHERE kind = e.kind AND key = e.key)
		ORDER BY (SELECT id FROM entry WHERE kind = e.kind AND key = e.key AND revision = 1)`, string(kind))
	return list, wrap("read the notes", err)
}

// Notes is all entries as one notes file: strips and events, then passes, then
// what is planned.
func (s *Store) Notes(ctx context.Context) ([]byte, error) {
	all, err := s.Entries(ctx, "")
	if err != nil {
		return nil, err
	}
	order := []Kind{StripEntry, EventEntry, PassEntry, PlannedEntry}
	slices.SortStableFunc(all, func(a, b Entry) int { return slices.Index(order, a.Kind) - slices.Index(order, b.Kind) })
	var b strings.Builder
	for _, e := range all {
		b.WriteString("[[" + string(e.Kind) + "]]\n" + strings.TrimRight(e.Body, "\n") + "\n\n")
	}
	return []byte(b.String()), nil
}
