package sqlite

import (
	"testing"
	"time"

	"dawnround/notebook/storetest"
)

var evening = time.Date(2026, 5, 14, 20, 12, 3, 0, time.UTC)

func TestStore(t *testing.T) {
	t.Parallel()
	storetest.Run(t, func(tb testing.TB) storetest.Store {
		s, err := Open(tb.TempDir(), evening)
		if err != nil {
			tb.Fatal(err)
		}
		return s
	})
}
