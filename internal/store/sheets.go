package store

import (
	"context"
	"database/sql"
	"errors"
	"fmt"
)

// Sheet is one revision of a car's sheet.
type Sheet struct {
	Car      string `json:"car"`
	Revision int    `json:"revision"`   // counts from 1 for each car
	Label    string `json:"label"`      // the sheet's own word for its revision, "" when it has none
	Valid    string `json:"valid_from"` // local, ISO 8601; "" means always
	File     string `json:"file"`
	Body     []byte `json:"-"` // the file as it came
	SHA256   string `json:"sha256"`
	AddedAt  string `json:"added_at"` // UTC
}

// Always, as a sheet's Valid, means that it held from the beginning.
const Always = "always"

// AddSheet keeps a sheet as a new revision of its car, and makes the car when it
// is new. A sheet whose bytes the car has already changes nothing; new is
// false then, and the revision is the one that has them.
//
// A sheet that does not say from when it is valid (Valid is "") holds always
// when it is the car's first, and from now on when it is not, so that a change
// never rewrites what was true of earlier passes; Always corrects the past.
func (s *Store) AddSheet(ctx context.Context, in Sheet) (out Sheet, isNew bool, err error) {
	if slug(in.Car) == "" {
		return in, false, &Hinted{fmt.Errorf("%s: the car has no name", in.File), `put a line such as name = "Marlin" at the top of the sheet`}
	}
	in.SHA256, in.AddedAt = sumOf(in.Body), s.stamp()
	said := in.Valid != ""
	if in.Valid == Always {
		in.Valid = ""
	}
	have, err := s.Sheets(ctx, in.Car)
	if err != nil {
		return in, false, err
	}
	for _, h := range have {
		if h.SHA256 == in.SHA256 && (!said || in.Valid == h.Valid) {
			return h, false, nil
		}
	}
	err = s.change(ctx, "add sheet", in.Car+" "+short(in.SHA256), func(tx *Tx) error {
		carID, err := s.makeCar(tx, in.Car)
		if err != nil {
			return err
		}
		if err := tx.row("SELECT coalesce(max(revision), 0) + 1 FROM sheet WHERE car_id = ?", carID).Scan(&in.Revision); err != nil {
			return err
		}
		if !said && in.Revision > 1 {
			in.Valid = s.now().Format("2006-01-02T15:04:05")
		}
		_, err = tx.exec("INSERT INTO sheet (car_id, revision, label, valid_from, file, body, sha256, added_at) VALUES (?, ?, ?, ?, ?, ?, ?, ?)",
			carID, in.Revision, in.Label, in.Valid, in.File, in.Body, in.SHA256, in.AddedAt)
		return err
	})
	return in, err == nil, wrap("add "+in.File, err)
}

// Sheets lists the revisions of a car's sheet, the oldest first.
func (s *Store) Sheets(ctx context.Context, car string) ([]Sheet, error) {
	list, err := rows(ctx, s.read, func(scan func(...any) error) (h Sheet, err error) {
		return h, scan(&h.Car, &h.Revision, &h.Label, &h.Valid, &h.File, &h.Body, &h.SHA256, &h.AddedAt)
	}, `SELECT name, revision, label, valid_from, file, body, sha256, sheet.added_at
		FROM sheet JOIN car ON car.id = car_id WHERE key = ? ORDER BY revision`, fold(car))
	return list, wrap("read the sheets of "+car, err)
}

// Car is one car of the shop.
type Car struct {
	Name      string `json:"car"`
	Revisions int    `json:"sheet_revisions"`
	Passes    int    `json:"passes"`
	LastRun   string `json:"last_run_at"`
}

// Cars lists the cars by name.
func (s *Store) Cars(ctx context.Context) ([]Car, error) {
	list, err := rows(ctx, s.read, func(scan func(...any) error) (c Car, err error) {
		return c, scan(&c.Name, &c.Revisions, &c.Passes, &c.LastRun)
	}, `SELECT name, (SELECT count(*) FROM sheet WHERE car_id = car.id),
		(SELECT count(*) FROM pass JOIN log ON log.id = log_id WHERE pass.car_id = car.id AND pass.removed_at IS NULL AND log.removed_at IS NULL AND`+present+`),
		(SELECT coalesce(max(run_at), '') FROM pass WHERE pass.car_id = car.id) FROM car ORDER BY key`)
	return list, wrap("list cars", err)
}

// carID finds a car by name; nil for "", since a log may be of no known car.
func (s *Store) carID(tx *Tx, name string) (any, error) {
	if name == "" {
		return nil, nil
	}
	var id int64
	err := tx.row("SELECT id FROM car WHERE key = ?", fold(name)).Scan(&id)
	if err != nil {
		return nil, notFound("car "+name, err)
	}
	return id, nil
}

func (s *Store) makeCar(tx *Tx, name string) (int64, error) {
	var id int64
	err := tx.row("SELECT id FROM car WHERE key = ?", fold(name)).Scan(&id)
	if errors.Is(err, sql.ErrNoRows) {
		return tx.insert("INSERT INTO car (key, name, added_at) VALUES (?, ?, ?)", fold(name), name, s.stamp())
	}
	return id, err
}
