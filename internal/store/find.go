package store

import (
	"context"
	"errors"
	"fmt"
	"slices"
	"strconv"
	"strings"
	"unicode"
)

// maxNamed is how many passes a message names.
const maxNamed = 5

func isWordRune(r rune) bool { return unicode.IsLetter(r) || unicode.IsDigit(r) }

// Find returns the passes that a person means by name, in time order:
//
//   - the name of a pass or its id in the notes, or the beginning of one;
//   - the name of a file, for all passes in it, or with ":2" for the second;
//   - the first 6 or more digits of a log's SHA-256;
//   - "last", for the pass run last, or "last" and a car, as in "last:marlin".
//
// Passes in the trash are found only when trash is set, and then no others.
func (s *Store) Find(ctx context.Context, name string, trash bool) ([]Pass, error) {
	all, err := s.Passes(ctx, Filter{Removed: trash})
	if err != nil {
		return nil, err
	}
	hit, err := find(all, name, trash)
	if errors.Is(err, ErrNotFound) {
		// The same bytes may have come under a further name.
		sums, nameErr := column[string](ctx, s.read, "SELECT sha256 FROM log JOIN log_name ON log_id = log.id WHERE log_name.file = ?", strings.TrimSpace(name))
		if nameErr != nil {
			return nil, wrap("look for "+name, nameErr)
		}
		if also := chosen(all, func(p Pass) bool { return slices.Contains(sums, p.SHA256) }); len(also) > 0 {
			return also, nil
		}
	}
	return hit, err
}

// FindOne is Find for one pass only.
func (s *Store) FindOne(ctx context.Context, name string) (Pass, error) {
	list, err := s.Find(ctx, name, false)
	if err != nil {
		return Pass{}, err
	}
	if len(list) > 1 {
		return Pass{}, ambiguous(name, list)
	}
	return list[0], nil
}

func find(all []Pass, name string, trash bool) ([]Pass, error) {
	name = strings.TrimSpace(name)
	called := strconv.Quote(name)
	if trash {
		called += " in the trash"
	}
	if first, car, _ := strings.Cut(name, ":"); strings.EqualFold(first, "last") {
		for _, p := range slices.Backward(all) {
			if car == "" || strings.EqualFold(p.Car, car) {
				return []Pass{p}, nil
			}
		}
		return nil, &Hinted{fmt.Errorf("%s: %w", called, ErrNotFound), "`traplight passes` lists them"}
	}
	file, number := name, -1
	if i := strings.LastIndexByte(name, ':'); i >= 0 {
		if n, err := strconv.Atoi(name[i+1:]); err == nil && n > 0 {
			file, number = name[:i], n-1
		}
	}
	tries := []func(Pass) bool{
		func(p Pass) bool { return strings.EqualFold(p.Name, name) },
		func(p Pass) bool { return p.NoteKey != "" && strings.EqualFold(p.NoteKey, name) },
		func(p Pass) bool { return strings.EqualFold(p.File, file) && (number < 0 || p.Number == number) },
		func(p Pass) bool {
			return len(file) >= 6 && strings.HasPrefix(p.SHA256, strings.ToLower(file)) && (number < 0 || p.Number == number)
		},
	}
	for _, fits := range tries {
		if hit := chosen(all, fits); len(hit) > 0 {
			return hit, nil
		}
	}
	begins := func(p Pass) bool {
		return hasFoldPrefix(p.Name, name) || hasFoldPrefix(p.NoteKey, name) || hasFoldPrefix(p.File, name)
	}
	switch hit := chosen(all, begins); {
	case name == "" || len(hit) == 0:
		return nil, &Hinted{fmt.Errorf("no pass called %s: %w", called, ErrNotFound), didYouMean(all, name)}
	case len(hit) > 1:
		return nil, ambiguous(name, hit)
	default:
		return hit, nil
	}
}

func chosen(all []Pass, fits func(Pass) bool) (hit []Pass) {
	for _, p := range all {
		if fits(p) {
			hit = append(hit, p)
		}
	}
	return hit
}

func hasFoldPrefix(s, prefix string) bool {
	return len(s) >= len(prefix) && strings.EqualFold(s[:len(prefix)], prefix)
}

func ambiguous(name string, hit []Pass) error {
	var names []string
	for i, p := range hit {
		if i == maxNamed {
			names = append(names, fmt.Sprintf("%d more", len(hit)-i))
			break
		}
		names = append(names, p.Name)
	}
	return &Hinted{fmt.Errorf("%q: %w", name, ErrAmbiguous), "it may be " + strings.Join(names, ", ")}
}

// didYouMean names the pass whose name is nearest, when one is near.
func didYouMean(all []Pass, name string) string {
	best, distance := "", 3
	for _, p := range all {
		for _, known := range []string{p.Name, p.NoteKey, p.File} {
			if d := edits(strings.ToLower(known), strings.ToLower(name), distance); known != "" && d < distance {
				best, distance = known, d
			}
		}
	}
	if best != "" {
		return fmt.Sprintf("the nearest name is %s; `traplight passes` lists them all", best)
	}
	return "`traplight passes` lists them"
}

// edits is the Levenshtein distance of a and b in bytes, or limit when it is
// not less. Source: Levenshtein (1966), Soviet Physics Doklady 10, 707–710
// (from memory).
func edits(a, b string, limit int) int {
	if len(a)-len(b) >= limit || len(b)-len(a) >= limit {
		return limit
	}
	row := make([]int, len(b)+1)
	for j := range row {
		row[j] = j
	}
	for i := 1; i <= len(a); i++ {
		diagonal := row[0]
		row[0] = i
		for j := 1; j <= len(b); j++ {
			cost := 1
			if a[i-1] == b[j-1] {
				cost = 0
			}
			diagonal, row[j] = row[j], min(diagonal+cost, row[j]+1, row[j-1]+1)
		}
	}
	return min(row[len(b)], limit)
}
