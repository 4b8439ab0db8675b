package browser

import "io"

// A Disk gives files by name, making those that are not there. A file is given
// to one holder at a time.
type Disk interface {
	Open(name string) (File, error)
}

// File is a file of a [Disk]: in a browser an access handle of its file system,
// in tests a plain file.
type File interface {
	io.ReaderAt
	io.WriterAt
	Truncate(size int64) error
	Size() (int64, error)
	Sync() error // returns once a power cut can no longer take what was written
	Close() error
}
