package main

import (
	"compress/gzip"
	"encoding/json"
	"errors"
	"os"
	"path/filepath"
)

// pack writes a compressed copy of a folder of logs: the logs gzipped, the
// truth cut down to what is compared, sheets and notes as they are.
func pack(from, to string) error {
	truths, err := filepath.Glob(filepath.Join(from, "*.truth.json"))
	if err != nil {
		return err
	}
	if err := os.MkdirAll(to, 0o755); err != nil {
		return err
	}
	for _, path := range truths {
		t, err := readTruth(path)
		if err != nil {
			return err
		}
		data, err := json.MarshalIndent(t, "", " ")
		if err != nil {
			return err
		}
		if err := os.WriteFile(filepath.Join(to, filepath.Base(path)), append(data, '\n'), 0o644); err != nil {
			return err
		}
		if err := gzipFile(filepath.Join(from, t.File), filepath.Join(to, t.File+".gz")); err != nil {
			return err
		}
	}
	plain, err := filepath.Glob(filepath.Join(from, "*.toml"))
	if err != nil {
		return err
	}
	for _, path := range plain {
		data, err := os.ReadFile(path)
		if err != nil {
			return err
		}
		if err := os.WriteFile(filepath.Join(to, filepath.Base(path)), data, 0o644); err != nil {
			return err
		}
	}
	return nil
}

func gzipFile(from, to string) error {
	data, err := os.ReadFile(from)
	if err != nil {
		return err
	}
	f, err := os.Create(to)
	if err != nil {
		return err
	}
	z, err := gzip.NewWriterLevel(f, gzip.BestCompression)
	if err != nil {
		return err
	}
	_, err = z.Write(data)
	return errors.Join(err, z.Close(), f.Close())
}
