package web

import (
	"context"
	"errors"
	"fmt"
	"io"
	"mime/multipart"
	"net/http"
	"os"
	"path/filepath"
	"strings"
)

// The most that one drop may bring, and how much of one file.
const (
	maxUpload = 2 << 30
	maxFile   = 1 << 30
	maxFiles  = 200
)

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
