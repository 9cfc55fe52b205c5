package web

import (
	"context"
	"errors"
	"io"
	"net/http"
	"os"
	"path/filepath"
	"time"

	"traplight/internal/app"
	"traplight/internal/store"
)

type keepView struct {
	Dir   string
	Logs  int
	Lines []changed
	Said  string // what was just done
}

// keep is backup and restore.
func (s *Server) keep(w http.ResponseWriter, r *http.Request) error {
	return s.showKeep(w, r, "", "")
}

func (s *Server) showKeep(w http.ResponseWriter, r *http.Request, said, trouble string) error {
	ctx := r.Context()
	v := keepView{Dir: s.shop.st.Dir(), Said: said}
	logs, err := s.shop.st.Logs(ctx)
	if err != nil {
		return err
	}
	v.Logs = len(logs)
	lines, err := s.shop.st.Journal(ctx, 60)
	if err != nil {
		return err
	}
	v.Lines = changes(lines, 12)
	return s.show(w, r, "keep", frame{Title: "Backup and restore", Here: "cars", Body: v}, trouble)
}

// backup sends a whole copy of the store as one file.
func (s *Server) backup(w http.ResponseWriter, r *http.Request) error {
	dir, err := os.MkdirTemp("", "traplight-backup-")
	if err != nil {
		return err
	}
	defer os.RemoveAll(dir)
	name := "traplight-" + s.opt.Now().Format("2006-01-02-1504") + ".zip"
	path := filepath.Join(dir, name)
	if _, err := s.shop.st.Backup(r.Context(), path, nil); err != nil {
		return err
	}
	f, err := os.Open(path)
	if err != nil {
		return err
	}
	defer f.Close()
	w.Header().Set("Content-Type", "application/zip")
	w.Header().Set("Content-Disposition", `attachment; filename="`+name+`"`)
	http.ServeContent(w, r, name, time.Time{}, f)
	return nil
}

// Restored tells where what was kept before lies now.
type Restored struct {
	Aside string `json:"aside"` // folder beside the store
}

// restore takes a backup in place of what is kept. What was there is put aside, not
// deleted. Nothing else is done meanwhile.
func (s *Server) restore(w http.ResponseWriter, r *http.Request) error {
	dir, err := os.MkdirTemp(filepath.Dir(s.shop.st.Dir()), "traplight-restore-")
	if err != nil {
		return err
	}
	defer os.RemoveAll(dir)
	path, err := spool(w, r, dir)
	if err == nil {
		_, err = store.ReadManifest(path)
	}
	if err != nil {
		return s.showKeep(w, r, "", err.Error())
	}
	aside, err := s.swap(r.Context(), path)
	if err != nil {
		return s.showKeep(w, r, "", err.Error())
	}
	aside = filepath.Base(aside)
	if wantsJSON(r) {
		return writeJSON(w, r, http.StatusOK, Restored{aside})
	}
	return s.showKeep(w, r, "The backup is in place. What was kept before lies in "+aside+".", "")
}

// spool writes the one file of a form to disk.
func spool(w http.ResponseWriter, r *http.Request, dir string) (string, error) {
	const maxBackup = 64 << 30
	r.Body = http.MaxBytesReader(w, r.Body, maxBackup)
	form, err := r.MultipartReader()
	if err != nil {
		return "", wrong("the file did not come as a form: %v", err)
	}
	for {
		part, err := form.NextPart()
		if errors.Is(err, io.EOF) {
			return "", wrong("no file was chosen")
		} else if err != nil {
			return "", err
		}
		if part.FileName() == "" {
			continue
		}
		path := filepath.Join(dir, "backup.zip")
		f, err := os.OpenFile(path, os.O_CREATE|os.O_WRONLY|os.O_EXCL, 0o600)
		if err != nil {
			return "", err
		}
		_, err = io.Copy(f, part)
		return path, errors.Join(err, f.Close())
	}
}

// swap closes the store, puts the backup in its place and opens that. The caller holds
// no lock; every other request waits.
func (s *Server) swap(ctx context.Context, path string) (aside string, err error) {
	s.gate.RUnlock()
	s.gate.Lock()
	defer func() {
		s.gate.Unlock()
		s.gate.RLock()
	}()
	dir, program := s.shop.st.Dir(), s.shop.program
	s.jobs.close()
	if err := s.shop.app.Close(); err != nil {
		return "", err
	}
	aside, err = store.RestoreBackup(ctx, path, dir, true, nil)
	// Also where it failed there is a store to go on with: the one that was there.
	again, oerr := app.OpenShop(context.WithoutCancel(ctx), dir, program, true)
	if oerr != nil {
		return "", errors.Join(err, oerr)
	}
	o := s.opt
	o.Shop = again
	s.own, s.shop, s.jobs = again, newShop(o), newJobs(s.opt.Log)
	if err != nil {
		return "", wrong("the backup was not taken, all is as it was: %v", err)
	}
	return aside, nil
}
