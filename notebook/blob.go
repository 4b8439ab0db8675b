package notebook

import (
	"bytes"
	"crypto/sha256"
	"encoding/json"
	"errors"
	"fmt"
	"slices"
)

// AttachmentKind is the kind of a line that names a blob. Of its body only what
// is in [Blob] concerns the notebook.
const AttachmentKind = "attachment"

// MaxBlobBytes is the most bytes a blob may have.
const MaxBlobBytes = 8 << 20

// Blob names the bytes that a line attaches. They lie apart from the lines, come
// after all of them, and may not be here yet.
type Blob struct {
	SHA256 Hash   `json:"sha256"`
	Size   int64  `json:"size"` // in bytes
	Type   string `json:"type"` // media type, such as image/jpeg
}

// BlobOf names the bytes given.
func BlobOf(b []byte, mediaType string) Blob {
	return Blob{SHA256: sha256.Sum256(b), Size: int64(len(b)), Type: mediaType}
}

// Blob tells which blob a line names, if any. A line of a later format is not
// read.
func (l *Line) Blob() (Blob, bool) {
	var b Blob
	if l.Kind != AttachmentKind || l.Format != Format || json.Unmarshal(l.Body, &b) != nil {
		return Blob{}, false
	}
	return b, b.Carriable()
}

// Carriable reports a blob with a hash and a size within bounds.
func (b Blob) Carriable() bool { return b.SHA256 != Hash{} && b.Size > 0 && b.Size <= MaxBlobBytes }

// named gathers the blobs that lines name, each once.
type named struct {
	blobs []Blob
	seen  map[Blob]bool
}

func (n *named) note(l *Line) {
	if b, ok := l.Blob(); ok && !n.seen[b] {
		if n.seen == nil {
			n.seen = map[Blob]bool{}
		}
		n.seen[b] = true
		n.blobs = append(n.blobs, b)
	}
}

// Named gives the blobs that a store's lines name, each once, in the order of the
// lines. It verifies nothing.
func Named(store Store) ([]Blob, error) {
	var n named
	for l, err := range store.Since(nil) {
		if err != nil {
			return nil, err
		}
		n.note(&l)
		if !l.isFork() {
			continue
		}
		branches, err := unpack(&l)
		if err != nil {
			continue // kept all the same; Verify reports it
		}
		for _, carried := range slices.Concat(branches...) {
			n.note(&carried)
		}
	}
	return n.blobs, nil
}

// Blobs is where the bytes of attachments lie, by their SHA-256. Every such
// store passes the suite in notebook/storetest and may be used from several
// goroutines.
type Blobs interface {
	// Put keeps bytes and returns nil only once a power cut can no longer take
	// them; they are kept wholly or not at all. Bytes of another hash are a
	// [*BadBlob] and not kept. What was damaged is replaced, and a part forgotten.
	Put(hash Hash, b []byte) error

	// Get gives the bytes, verified as they are read: [ErrNotHere] where they have
	// not come, a [*BadBlob] where they are damaged.
	Get(hash Hash) ([]byte, error)

	// Has tells whether a whole blob lies here; it does not read it.
	Has(hash Hash) (bool, error)

	// Part gives what has come of a blob that is not whole; empty where nothing has.
	Part(hash Hash) ([]byte, error)

	// AddPart adds bytes where the part ends, or begins it anew at offset 0, and
	// returns only once a power cut can no longer take them. At any other offset
	// it does nothing. It gives how far the part reaches now.
	AddPart(hash Hash, offset int64, b []byte) (have int64, err error)
}

// ErrNotHere says that the bytes of an attachment have not come yet. They lie on
// the device that made it, or on the way.
var ErrNotHere = errors.New("not here yet; it comes with an exchange with the device that has it")

// BadBlob says that bytes do not have the hash they lie under.
type BadBlob struct {
	Hash  Hash
	Found Hash // of the bytes that lie there
	Size  int64
}

func (b *BadBlob) Error() string {
	return fmt.Sprintf("attachment %s: its %d bytes have the hash %s: damaged; restore it from a backup or another device", b.Hash, b.Size, b.Found)
}

// Check says why bytes are not those of a hash, or nil. Stores use it for what
// they are given and for what they read.
func (h Hash) Check(b []byte) error {
	if found := Hash(sha256.Sum256(b)); found != h {
		return &BadBlob{Hash: h, Found: found, Size: int64(len(b))}
	}
	return nil
}

// Wanted is a blob that is not here, and how far it has come.
type Wanted struct {
	Blob
	Have int64
}

// Missing gives those of the blobs named that are not here, in their order.
func Missing(store Blobs, named []Blob) ([]Wanted, error) {
	var wanted []Wanted
	for _, b := range named {
		has, err := store.Has(b.SHA256)
		if err != nil {
			return nil, err
		}
		if has {
			continue
		}
		part, err := store.Part(b.SHA256)
		if err != nil {
			return nil, err
		}
		wanted = append(wanted, Wanted{b, int64(len(part))})
	}
	return wanted, nil
}

// Chunk gives at most so many bytes of a blob from an offset on, none behind its
// end. The whole blob is verified first, so that damage does not travel.
func Chunk(store Blobs, hash Hash, offset int64, most int) ([]byte, error) {
	b, err := store.Get(hash)
	if err != nil {
		return nil, err
	}
	if offset < 0 || most < 0 {
		return nil, fmt.Errorf("attachment %s: %d bytes from %d on: neither can be below zero", hash, most, offset)
	}
	b = b[min(offset, int64(len(b))):]
	return bytes.Clone(b[:min(most, len(b))]), nil
}

// Accept takes bytes of a blob that one of our own lines names, and gives how
// far it has come: go on from there. What was there already is passed over, and
// what lies behind a gap is left. With the last byte the whole is verified and
// kept; where it has another hash it is forgotten and a [*BadBlob] told.
func Accept(store Blobs, blob Blob, offset int64, b []byte) (have int64, err error) {
	if has, err := store.Has(blob.SHA256); err != nil || has {
		return blob.Size, err
	}
	part, err := store.Part(blob.SHA256)
	if err != nil {
		return 0, err
	}
	have = int64(len(part))
	if offset < 0 || offset > have {
		return have, nil
	}
	if b = b[min(have-offset, int64(len(b))):]; have+int64(len(b)) < blob.Size {
		if len(b) == 0 {
			return have, nil
		}
		return store.AddPart(blob.SHA256, have, b)
	}
	if err := store.Put(blob.SHA256, append(part, b...)); err != nil {
		return afresh(store, blob, have, err)
	}
	return blob.Size, nil
}

// afresh forgets the part of a blob that turned out to be other bytes.
func afresh(store Blobs, blob Blob, have int64, why error) (int64, error) {
	var other *BadBlob
	if !errors.As(why, &other) {
		return have, why
	}
	if _, err := store.AddPart(blob.SHA256, 0, nil); err != nil {
		return have, err
	}
	return 0, why
}

// BlobReport says what of the blobs named lies here, every byte of it verified.
type BlobReport struct {
	Here    int
	Bytes   int64
	NotHere []Blob
	Bad     []*BadBlob
}

// VerifyBlobs reads every blob named that is here. One that has not come is
// counted, one that is damaged is named; neither is an error.
func VerifyBlobs(store Blobs, named []Blob) (BlobReport, error) {
	var report BlobReport
	seen := map[Hash]bool{}
	for _, blob := range named {
		if seen[blob.SHA256] {
			continue
		}
		seen[blob.SHA256] = true
		b, err := store.Get(blob.SHA256)
		var bad *BadBlob
		switch {
		case errors.As(err, &bad):
			report.Bad = append(report.Bad, bad)
		case errors.Is(err, ErrNotHere):
			report.NotHere = append(report.NotHere, blob)
		case err != nil:
			return report, err
		default:
			report.Here++
			report.Bytes += int64(len(b))
		}
	}
	return report, nil
}
