package inbox

import (
	"context"
	"io/fs"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"time"

	"github.com/fsnotify/fsnotify"
)

const (
	// defaultPoll is how often the folder is looked through. Notices of the
	// system make it quicker; network drives and many memory cards give none.
	defaultPoll = 3 * time.Second
	// defaultSettle is how long a file must have kept its size and time before
	// it is taken: recorders and copying take pauses of a second.
	defaultSettle = 2 * time.Second
)

// Watcher hands over each file that appears in folders, or changes there, when
// nobody has written to it for a while. A folder may be missing, or go and
// come back, as a drive does that is pulled and put in again.
type Watcher struct {
	Folders []string
	// Poll is how often to look even without a notice; 0 means 3 s.
	Poll time.Duration
	// Settle is how long a file must have been left alone; 0 means 2 s.
	Settle time.Duration
	// Quiet means that the files which are there at the start are not handed
	// over.
	Quiet bool
	// Lost is told when a folder cannot be seen any more, and Back when it can
	// again. Either may be nil.
	Lost, Back func(folder string)
}

// state is what a file looked like.
type state struct {
	size    int64
	time    time.Time
	since   time.Time // since when it looks like this
	handled bool
}

// quick is how soon after a notice the folder is looked through.
const quick = 100 * time.Millisecond

// Run watches until ctx ends, and calls take for the files that are ready,
// sheets and notes before logs. A file that take could not use comes again
// only when it has changed.
func (w *Watcher) Run(ctx context.Context, take func(files []File)) error {
	poll, settle := w.Poll, w.Settle
	if poll == 0 {
		poll = defaultPoll
	}
	if settle == 0 {
		settle = defaultSettle
	}
	l := &looker{watcher: w, settle: settle, seen: map[string]*state{}, visible: map[string]bool{}, handled: w.Quiet}
	var events chan fsnotify.Event
	var errs chan error
	if n, err := fsnotify.NewWatcher(); err == nil { // without notices (too many watches, say) polling alone does it
		defer n.Close()
		l.notices, events, errs = n, n.Events, n.Errors
	}
	due := time.Now()
	timer := time.NewTimer(0)
	defer timer.Stop()
	for {
		select {
		case <-ctx.Done():
			return ctx.Err()
		case <-errs: // an overflow of notices: the next look sees it all
		case <-events:
			if soon := time.Now().Add(quick); soon.Before(due) {
				due = soon
				timer.Reset(quick)
			}
		case <-timer.C:
			ready, unsettled := l.look()
			l.handled = false
			if len(ready) > 0 {
				take(ready)
			}
			wait := poll
			if unsettled {
				wait = min(poll, settle/4)
			}
			due = time.Now().Add(wait)
			timer.Reset(wait)
		}
	}
}

// looker remembers what the folders looked like.
type looker struct {
	watcher *Watcher
	notices *fsnotify.Watcher
	settle  time.Duration
	seen    map[string]*state
	visible map[string]bool
	handled bool // what is new to this look counts as handled
}

// look goes through the folders once.
func (l *looker) look() (ready []File, unsettled bool) {
	now := time.Now()
	for _, folder := range l.watcher.Folders {
		if !l.present(folder) {
			continue
		}
		filepath.WalkDir(folder, func(path string, d fs.DirEntry, err error) error {
			switch {
			case err != nil: // gone while it was looked at: the next look will tell
				return nil
			case d.IsDir():
				if path != folder && strings.HasPrefix(d.Name(), ".") {
					return filepath.SkipDir
				}
				if l.notices != nil {
					l.notices.Add(path) // again, since a drive may have come back
				}
				return nil
			case !d.Type().IsRegular() || !IsKind(path):
				return nil
			}
			info, err := d.Info()
			if err != nil {
				return nil
			}
			switch s := l.state(path, info, now); {
			case s.handled || info.Size() == 0: // an empty file is not written yet
			case now.Sub(s.since) >= l.settle:
				// Its own time is no help: copying sets an old one early.
				s.handled = true
				ready = append(ready, File{Path: path})
			default:
				unsettled = true
			}
			return nil
		})
	}
	slices.SortStableFunc(ready, func(a, b File) int { return rank(a.Path) - rank(b.Path) })
	return ready, unsettled
}

// state gives what is known of a file, anew when it looks different.
func (l *looker) state(path string, info fs.FileInfo, now time.Time) *state {
	s := l.seen[path]
	if s == nil || s.size != info.Size() || !s.time.Equal(info.ModTime()) {
		s = &state{size: info.Size(), time: info.ModTime(), since: now, handled: l.handled}
		l.seen[path] = s
	}
	return s
}

// present says whether a folder can be seen, and tells when that changes.
func (l *looker) present(folder string) bool {
	_, err := os.Stat(folder)
	is := err == nil
	was, known := l.visible[folder]
	l.visible[folder] = is
	if known && was != is {
		if tell := map[bool]func(string){true: l.watcher.Back, false: l.watcher.Lost}[is]; tell != nil {
			tell(folder)
		}
	}
	return is
}
