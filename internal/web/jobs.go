package web

import (
	"context"
	"crypto/rand"
	"errors"
	"fmt"
	"log/slog"
	"net/http"
	"strings"
	"sync"
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
	Watched  bool   `json:"watched"`        // a watched folder brought it
}

type job struct {
	mu sync.Mutex
	Job
	lines []string // of Error, a sentence each
	run   work
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
	order []string        // of their ids, as they were begun
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
		for _, l := range strings.Split(err.Error(), "\n") {
			j.lines = append(j.lines, sentence(l))
		}
		j.Error = strings.Join(j.lines, " ")
		q.log.Info("work", "error", err)
	}
}

// start queues work.
func (q *jobs) start(doing string, run work) (*job, error) {
	return q.put(q.queue, &job{Job: Job{Doing: doing}, run: run})
}

// brought queues work that a watched folder asks for.
func (q *jobs) brought(doing string, run work) (*job, error) {
	return q.put(q.queue, &job{Job: Job{Doing: doing, Watched: true}, run: run})
}

// How much finished work is remembered.
const keepJobs = 200

func (q *jobs) put(lane chan *job, j *job) (*job, error) {
	j.ID = rand.Text()[:12]
	q.mu.Lock()
	q.all[j.ID] = j
	q.order = append(q.order, j.ID)
	for len(q.order) > keepJobs && q.all[q.order[0]].now().Finished {
		delete(q.all, q.order[0])
		q.order = q.order[1:]
	}
	q.mu.Unlock()
	select {
	case lane <- j:
		return j, nil
	default:
		return nil, status(http.StatusServiceUnavailable, errors.New("too much is waiting to be worked out; try again in a minute"))
	}
}

// pending is once for a page that waits for what the work leaves: the job's number, or the
// sentence with which it failed.
func (q *jobs) pending(key, doing string, run work) (string, error) {
	j, err := q.once(key, doing, run)
	if err != nil {
		return "", err
	}
	now := j.now()
	if now.Error != "" {
		return "", wrong("%s", now.Error)
	}
	return now.ID, nil
}

// once queues work unless the very same is waiting, going on or has failed.
func (q *jobs) once(key, doing string, run work) (*job, error) {
	q.mu.Lock()
	j := q.same[key]
	q.mu.Unlock()
	if j != nil {
		return j, nil
	}
	j, err := q.put(q.quiet, &job{Job: Job{Doing: doing}, run: run})
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

// list is the work of late, in the order in which it was begun.
func (q *jobs) list() []Job {
	const most = 20
	q.mu.Lock()
	defer q.mu.Unlock()
	out := []Job{}
	for _, id := range q.order[max(0, len(q.order)-most):] {
		out = append(out, q.all[id].now())
	}
	return out
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

type workView struct {
	Job
	Lines []string // what went wrong, where that is more than one thing
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
	v := workView{Job: now}
	trouble := now.Error
	if lines := j.lines; now.Finished && len(lines) > 1 && !wantsJSON(r) {
		v.Lines, trouble = lines, ""
	}
	f := frame{Title: "Working", Body: v, Again: !now.Finished, code: http.StatusOK}
	if now.Error != "" {
		f.code = http.StatusUnprocessableEntity
	}
	return s.show(w, r, "work", f, trouble)
}
