package logfile_test

import (
	"context"
	"errors"
	"fmt"
	"os"
	"path/filepath"
	"strings"
	"sync/atomic"
	"testing"

	"traplight/internal/logfile"
)

// TestOpenStops: a reading that is stopped on its way gives the reason and no log, though the
// part that was read would make one.
func TestOpenStops(t *testing.T) {
	path := filepath.Join(t.TempDir(), "long.csv")
	var text strings.Builder
	text.WriteString("Time [s],RPM [rpm]\n")
	const rows = 100000
	for i := range rows {
		fmt.Fprintf(&text, "%d.%02d,%d\n", i/100, i%100, 900+i%7)
	}
	if err := os.WriteFile(path, []byte(text.String()), 0o600); err != nil {
		t.Fatal(err)
	}
	whole := &countdown{Context: context.Background()}
	whole.left.Store(1 << 30)
	if log, err := logfile.OpenContext(whole, path); err != nil || len(log.RowTime) != rows {
		t.Fatalf("not stopped: %v", err)
	}
	asked := 1<<30 - whole.left.Load()
	if asked < 5 {
		t.Fatalf("a file of %d bytes asks only %d times whether to stop", text.Len(), asked)
	}
	for _, after := range []int32{0, 1, asked / 2, asked - 1} {
		ctx := &countdown{Context: context.Background()}
		ctx.left.Store(after)
		if log, err := logfile.OpenContext(ctx, path); log != nil || !errors.Is(err, context.Canceled) {
			t.Errorf("stopped when asked %d times of %d: %v", after, asked, err)
		}
	}
}

// countdown is done when it has been asked so often.
type countdown struct {
	context.Context
	left atomic.Int32
}

func (c *countdown) Err() error {
	if c.left.Add(-1) < 0 {
		return context.Canceled
	}
	return nil
}
