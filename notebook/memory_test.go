package notebook_test

import (
	"testing"

	"dawnround/notebook"
	"dawnround/notebook/storetest"
)

func TestMemory(t *testing.T) {
	t.Parallel()
	storetest.Run(t, func(testing.TB) storetest.Store { return new(notebook.Memory) })
}
