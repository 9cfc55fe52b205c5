package web

import (
	"context"
	"crypto/rand"
	"errors"
	"fmt"
	"io"
	"log/slog"
	"mime/multipart"
	"net/http"
	"os"
	"path/filepath"
	"strings"
	"sync"
)

// The most that one drop may bring, and how much of one file.
const (
	maxUpload = 2 << 30
	maxFile   = 1 << 30
	maxFiles  = 200
)

// Job is work that goes on, as scripts see it.
type Job struct {
	ID       string `json:"id"`
	Doing    string `json:"doing"`
	Done     int    `json:"done"`
	Of       int    `json:"of"`
	Finished bool   `json:"finished"`
	Error    string `json:"error,omitempty"`
	Goto     string `json:"goto,omitempty"` // the page with the answer
}

type job struct {
	mu sync.Mutex
	Job
	run work
}

func (j *job) tell(doing string, done, of int) {
	j.mu.Lock()
	defer j.mu.Unlock()
	j.Doing, j.Done, j.Of = doing, done, of
}

func (j *job) now() Job {
	j.mu.Lock()
	defer j.mu.Unlock()
	return j.Job
}

// jobs does one thing after the other, and beside it what nobody waits for.
type jobs struct {
	mu    sync.Mutex
	all   map[string]*job
	same  map[string]*job // work that is asked for again while it goes on, by what it is
	queue chan *job
	quiet chan *job // what nobody waits for: it must not hold a dropped log up
	stop  context.CancelFunc
	ended sync.WaitGroup
	log   *slog.Logger
}

func newJobs(log *slog.Logger) *jobs {
	ctx, stop := context.WithCancel(context.Background())
	q := &jobs{all: map[string]*job{}, same: map[string]*job{}, queue: make(chan *job, 100), quiet: make(chan *job, 100), stop: stop, log: log}
	for _, lane := range []chan *job{q.queue, q.quiet} {
		q.ended.Go(func() {
			for {
				select {
				case <-ctx.Done():
					return
				case j := <-lane:
					q.do(ctx, j)
				}
			}
		})
	}
	return q
}

func (q *jobs) do(ctx context.Context, j *job) {
	to, err := "", error(nil)
	func() {
		// A fault in one log must not end the server in the pits.
		defer func() {
			if p := recover(); p != nil {
				err = fmt.Errorf("this log brought the program to a fault (%v); the log is as it was, please keep it", p)
			}
		}()
		to, err = j.run(ctx, j)
	}()
	j.mu.Lock()
	defer j.mu.Unlock()
	j.Finished, j.Goto = true, to
	if err != nil {
		var lines []string
		for _, l := range strings.Split(err.Error(), "\n") {
			lines = append(lines, sentence(l))
		}
		j.Error = strings.Join(lines, " ")
		q.log.Info("work", "error", err)
	}
}

// start queues work.
func (q *jobs) start(doing string, run work) (*job, error) { return q.put(q.queue, doing, run) }

func (q *jobs) put(lane chan *job, doing string, run work) (*job, error) {
	j := &job{Job: Job{ID: rand.Text()[:12], Doing: doing}, run: run}
	q.mu.Lock()
	q.all[j.ID] = j
	q.mu.Unlock()
	select {
	case lane <- j:
		return j, nil
	default:
		return nil, status(http.StatusServiceUnavailable, errors.New("too much is waiting to be worked out; try again in a minute"))
	}
}

// once queues work unless the very same is waiting, going on or has failed.
func (q *jobs) once(key, doing string, run work) (*job, error) {
	q.mu.Lock()
	j := q.same[key]
	q.mu.Unlock()
	if j != nil {
		return j, nil
	}
	j, err := q.put(q.quiet, doing, run)
	if err != nil {
		return nil, err
	}
	q.mu.Lock()
	q.same[key] = j
	q.mu.Unlock()
	return j, nil
}

func (q *jobs) find(id string) (*job, error) {
	q.mu.Lock()
	defer q.mu.Unlock()
	if j := q.all[id]; j != nil {
		return j, nil
	}
	return nil, status(http.StatusNotFound, errors.New("this work is not known any more: the program was started anew; what was added before is on the day's page"))
}

func (q *jobs) close() {
	q.stop()
	q.ended.Wait()
}

// follow sends the reader to the work's progress.
func (s *Server) follow(w http.ResponseWriter, r *http.Request, j *job) error {
	to := "/jobs/" + j.ID
	if wantsJSON(r) {
		return writeJSON(w, r, http.StatusAccepted, Started{Job: j.ID, At: to})
	}
	http.Redirect(w, r, to, http.StatusSeeOther)
	return nil
}

// Started tells where work that was begun can be followed.
type Started struct {
	Job string `json:"job"`
	At  string `json:"at"` // address of a page
}

func (s *Server) work(w http.ResponseWriter, r *http.Request) error {
	j, err := s.jobs.find(r.PathValue("id"))
	if err != nil {
		return err
	}
	now := j.now()
	if now.Finished && now.Error == "" && now.Goto != "" {
		http.Redirect(w, r, now.Goto, http.StatusSeeOther)
		return nil
	}
	f := frame{Title: "Working", Body: now, Again: !now.Finished, code: http.StatusOK}
	return s.show(w, r, "work", f, now.Error)
}

// takeIn takes dropped files.
func (s *Server) takeIn(w http.ResponseWriter, r *http.Request) error {
	dir, err := os.MkdirTemp("", "traplight-drop-")
	if err != nil {
		return err
	}
	paths, said, err := receive(w, r, dir)
	if err == nil && len(paths) == 0 {
		err = wrong("no file was chosen")
	}
	if err != nil {
		os.RemoveAll(dir)
		return err
	}
	take := s.intake(paths, said)
	j, err := s.jobs.start("reading "+filepath.Base(paths[0]), func(ctx context.Context, j *job) (string, error) {
		defer os.RemoveAll(dir)
		return take(ctx, j)
	})
	if err != nil {
		os.RemoveAll(dir)
		return err
	}
	return s.follow(w, r, j)
}

// receive writes the files of a form to a folder.
func receive(w http.ResponseWriter, r *http.Request, dir string) (paths []string, said string, err error) {
	r.Body = http.MaxBytesReader(w, r.Body, maxUpload)
	form, err := r.MultipartReader()
	if err != nil {
		return nil, "", wrong("the files did not come as a form: %v", err)
	}
	for {
		part, err := form.NextPart()
		if errors.Is(err, io.EOF) {
			return paths, said, nil
		} else if err != nil {
			return nil, "", err
		}
		if part.FileName() == "" {
			text, err := io.ReadAll(io.LimitReader(part, 1<<10))
			if err != nil {
				return nil, "", err
			}
			if part.FormName() == "car" {
				said = string(text)
			}
			continue
		}
		if len(paths) >= maxFiles {
			return nil, "", wrong("more than %d files at once", maxFiles)
		}
		path, err := save(part, dir, len(paths))
		if err != nil {
			return nil, "", err
		}
		paths = append(paths, path)
	}
}

// save writes one file under its own name, in a folder of its own: two may be called
// the same.
func save(part *multipart.Part, dir string, n int) (string, error) {
	name := filepath.Base(strings.ReplaceAll(part.FileName(), "\\", "/"))
	if name == "." || name == ".." || name == "/" || strings.ContainsRune(name, 0) {
		return "", wrong("a file without a usable name")
	}
	dir = filepath.Join(dir, fmt.Sprint(n))
	if err := os.Mkdir(dir, 0o700); err != nil {
		return "", err
	}
	path := filepath.Join(dir, name)
	f, err := os.OpenFile(path, os.O_CREATE|os.O_WRONLY|os.O_EXCL, 0o600)
	if err != nil {
		return "", err
	}
	defer f.Close()
	size, err := io.Copy(f, io.LimitReader(part, maxFile+1))
	if err == nil && size > maxFile {
		err = status(http.StatusRequestEntityTooLarge, fmt.Errorf("%s is larger than 1 GB", name))
	}
	if err == nil {
		err = f.Close()
	}
	return path, err
}

func (s *Server) demo(w http.ResponseWriter, r *http.Request) error {
	j, err := s.jobs.start("inventing a day at the strip", s.intakeDemo(1))
	if err != nil {
		return err
	}
	return s.follow(w, r, j)
}
