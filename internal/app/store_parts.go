package app

import (
	"context"
	"encoding/json"
	"fmt"
	"os"
	"path/filepath"
	"strings"

	"traplight/internal/car"
	"traplight/internal/store"
	"traplight/internal/store/inbox"
)

// PartsSubject is under which the store keeps a car's parts file, as it was written.
const PartsSubject = "parts file"

// PartsText is a car's parts file as it is kept; "" when there is none.
func (s *Shop) PartsText(ctx context.Context, name string) string {
	var text string
	body, _, ok, err := s.Learnt(ctx, name, PartsSubject)
	if err != nil || !ok || json.Unmarshal(body, &text) != nil {
		return ""
	}
	return text
}

// KeepParts keeps a car's parts file.
func (s *Shop) KeepParts(ctx context.Context, name, text string) error {
	body, err := json.Marshal(text)
	if err != nil {
		return err
	}
	return s.Learn(ctx, name, PartsSubject, "", body)
}

func holdsParts(path string) bool {
	data, err := os.ReadFile(path)
	if err != nil {
		return false
	}
	parts, _ := car.IsParts(path, data)
	return parts
}

// addParts keeps a parts file for its car: the one asked for, the one that its entries name,
// the one whose sheet came with it (beside), or the only one. A file that merely lay in a folder replaces no other.
func (s *Shop) addParts(ctx context.Context, f inbox.File, asked, beside string, watched bool) (a Added) {
	a = Added{Kind: "parts", File: filepath.Base(f.Path)}
	data, err := os.ReadFile(f.Path)
	if err != nil {
		a.Err = err
		return a
	}
	parts, err := car.ParseParts(a.File, data)
	if err == nil {
		err = parts.StrictErr()
	}
	if err != nil {
		a.Err = err
		return a
	}
	if a.Car, a.Err = s.carOfParts(ctx, parts, asked, beside); a.Err != nil {
		return a
	}
	text := strings.ReplaceAll(string(data), "\r\n", "\n")
	switch kept := s.PartsText(ctx, a.Car); {
	case kept == text:
		a.Outcome = "the parts of " + a.Car + " (known)"
	case kept != "" && (watched || !f.Named):
		a.Outcome = "other parts of " + a.Car + " are kept already; name the file itself to replace them"
	default:
		a.Outcome = "the parts of " + a.Car
		a.Err = s.KeepParts(ctx, a.Car, text)
	}
	return a
}

// carOfParts is the car, by its name in the store, whose parts a file lists.
func (s *Shop) carOfParts(ctx context.Context, parts *car.Parts, asked, beside string) (string, error) {
	cars, err := s.Cars(ctx)
	if err != nil {
		return "", err
	}
	if asked == "" {
		for _, p := range parts.Parts {
			if asked != "" && p.Car != "" && !strings.EqualFold(asked, p.Car) {
				return "", fmt.Errorf("%s line %d: %s is a part of %s, those before it of %s: a file is kept for one car", parts.File, p.Line, p.Serial, p.Car, asked)
			}
			if p.Car != "" {
				asked = p.Car
			}
		}
	}
	if asked == "" {
		asked = beside
	}
	for _, c := range cars {
		if asked == "" && len(cars) == 1 || strings.EqualFold(c.Name, asked) {
			return c.Name, nil
		}
	}
	switch {
	case asked != "":
		return "", &store.Hinted{Err: fmt.Errorf("%s: the store has no car %q", parts.File, asked), Hint: "add its sheet first"}
	case len(cars) == 0:
		return "", &store.Hinted{Err: fmt.Errorf("%s: %w", parts.File, ErrNoSheetYet), Hint: "add the car's sheet with it"}
	}
	return "", &store.Hinted{Err: fmt.Errorf("%s: %w", parts.File, ErrWhose), Hint: "say so with --car, or by a line car = \"...\" in each [[part]]"}
}
