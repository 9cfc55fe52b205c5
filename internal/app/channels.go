package app

import (
	"context"
	"errors"
	"fmt"
	"path/filepath"
	"slices"
	"strings"

	"traplight/internal/car"
	"traplight/internal/dictionary"
	"traplight/internal/logfile"
	"traplight/internal/quantity"
	"traplight/internal/store"
)

// Channels reads a log, a file or one of the store by name, and says what its channels are.
// cars are paths of sheets; without one the store's serves, if it knows the log's car.
func Channels(ctx context.Context, dir, program, arg string, cars []string) (*logfile.Log, *dictionary.Set, error) {
	n, err := Resolve(ctx, dir, program, []string{arg}, cars, "")
	if err != nil && allFiles([]string{arg}) {
		// Channels can be told without a car.
		n, err = &Named{Logs: []string{arg}}, nil
	}
	if err != nil {
		return nil, nil, err
	}
	defer n.Close()
	if err := notALog(n.Logs[0]); err != nil {
		return nil, nil, err
	}
	log, err := logfile.OpenContext(ctx, n.Logs[0])
	if err != nil {
		return nil, nil, err
	}
	var sheet *car.Sheet
	if len(n.Cars) > 0 {
		sheets, err := loadSheets(n.Cars)
		if err != nil {
			return nil, nil, err
		}
		sheet = pickSheet(sheets, log, nil)
	}
	set, err := identify(log, sheet, nil)
	return log, set, err
}

// SettleRequest says what channels of a car mean.
type SettleRequest struct {
	Data, Program string   // as Resolve takes them
	Log           string   // a pass or log of the store by name, or a file that is in it
	Set           []string // "name in the log=quantity", "name=none" or "name="
}

// Settle remembers what channels mean on the car of a log, and makes anew the reports that
// this concerns. Nothing is remembered when any of it is not understood.
func Settle(ctx context.Context, q SettleRequest, tell func(Added)) error {
	s, err := OpenShop(ctx, q.Data, q.Program, false)
	if err != nil {
		return err
	}
	defer s.Close()
	hits, err := s.Find(ctx, filepath.Base(q.Log), false)
	if err != nil {
		return err
	}
	log, err := logfile.OpenContext(ctx, s.OriginalPath(hits[0].SHA256))
	if err != nil {
		return err
	}
	log.File = hits[0].File // the original is called by its sum
	var names []string
	for _, c := range log.Columns {
		names = append(names, c.Name)
	}
	meanings := map[string]string{}
	for _, text := range q.Set {
		name, meaning, ok := cutMeaning(text, names)
		if !ok {
			return fmt.Errorf("--set %q: write it as 'name in the log=quantity'", text)
		}
		if !slices.Contains(names, name) {
			return &store.Hinted{Err: fmt.Errorf("%s: no channel is called %q", hits[0].File, name), Hint: "`traplight channels " + hits[0].Name + "` lists them"}
		}
		meanings[name] = meaning
	}
	tried := map[string]string{}
	for name, meaning := range meanings {
		if meaning != "" {
			tried[name] = meaning
		}
	}
	if _, err := dictionary.Identify(log, dictionary.Options{Corrections: tried}); err != nil {
		return err
	}
	for name, meaning := range meanings {
		if err := s.Correct(ctx, hits[0].Car, name, meaning); err != nil {
			return err
		}
	}
	failed, err := s.Add(ctx, AddRequest{}, tell)
	if err == nil && failed > 0 {
		err = errors.New("the channel is remembered, but not every report could be made anew")
	}
	return err
}

// cutMeaning cuts "name=quantity" at the sign; a name may hold one itself.
func cutMeaning(text string, names []string) (name, meaning string, ok bool) {
	for _, n := range names {
		if rest, found := strings.CutPrefix(text, n+"="); found && len(n) > len(name) {
			name, meaning, ok = n, strings.TrimSpace(rest), true
		}
	}
	if ok {
		return name, meaning, true
	}
	name, meaning, ok = strings.Cut(text, "=")
	return strings.TrimSpace(name), strings.TrimSpace(meaning), ok
}

// unknownMeanings are the corrections of a sheet that name no quantity, with a sentence
// each, by channel. sheet may be nil.
func unknownMeanings(sheet *car.Sheet) map[string]string {
	if sheet == nil {
		return nil
	}
	out := map[string]string{}
	for name, meaning := range sheet.Channels {
		what, unit, _ := strings.Cut(strings.TrimSpace(meaning), " ")
		word, _, _ := strings.Cut(what, "[")
		if unit = strings.TrimSpace(unit); unit != "" {
			if _, known := quantity.ParseUnit(unit); !known {
				out[name] = fmt.Sprintf("%s: [channels] %q: %q is not a unit that is known", sheet.File, name, unit)
			}
		}
		if word != "none" && word != "" && !quantity.Exists(quantity.Name(word)) {
			out[name] = fmt.Sprintf("%s: [channels] %q: %q is not the name of a quantity", sheet.File, name, word)
		}
	}
	return out
}
