package browser

import (
	"bytes"
	"crypto/aes"
	"crypto/cipher"
	"crypto/hkdf"
	"crypto/rand"
	"crypto/sha256"
	"encoding/json"
	"errors"
	"fmt"
	"unicode/utf8"
)

// Rounds is how often the passphrase is hashed: PBKDF2 with HMAC-SHA-256 (RFC
// 8018, section 5.2; NIST SP 800-132). 600,000 is what OWASP's Password Storage
// Cheat Sheet asks of it since 2023 (value from memory).
const Rounds = 600_000

// LeastLetters is the shortest passphrase that is taken.
const LeastLetters = 10

const (
	keyBytes  = 32
	saltBytes = 16
	mostRound = 20_000_000 // a file that asks for more is not ours
)

// Stretch makes a key of keyBytes bytes from a passphrase by PBKDF2 with
// HMAC-SHA-256. A browser does it faster than this program could.
type Stretch func(passphrase string, salt []byte, rounds int) ([]byte, error)

// ErrPassphrase is what a passphrase that is not the notebook's is answered.
var ErrPassphrase = errors.New("this is not the notebook's passphrase; nothing was opened and nothing is lost: write it again")

// wrapped is the key file: the data key under the passphrase.
type wrapped struct {
	Form    string `json:"form"`
	Rounds  int    `json:"rounds"`
	Salt    []byte `json:"salt"`
	DataKey []byte `json:"dataKey"` // nonce, key and tag of AES-256-GCM
}

const wrappedForm = "dawnround key 1: PBKDF2-HMAC-SHA-256, AES-256-GCM"

// Vault is a disk whose data key is in hand. Close ends it.
type Vault struct {
	disk Disk
	key  []byte
	held File // the key file, so that nobody else opens this disk
}

// Sealed tells whether a disk has a key already, so that a passphrase is asked
// for and not chosen.
func Sealed(disk Disk) (bool, error) {
	file, err := disk.Open("key")
	if err != nil {
		return false, err
	}
	_, err = readWrapped(file)
	return err == nil, errors.Join(ignore(err, errNoKey), file.Close())
}

func ignore(err, which error) error {
	if errors.Is(err, which) {
		return nil
	}
	return err
}

// Seal makes a data key for an empty disk and wraps it under a passphrase.
func Seal(disk Disk, passphrase string, stretch Stretch) (*Vault, error) {
	if utf8.RuneCountInString(passphrase) < LeastLetters {
		return nil, fmt.Errorf("passphrase of %d letters: take at least %d, best four words that stand in no book together", utf8.RuneCountInString(passphrase), LeastLetters)
	}
	file, err := disk.Open("key")
	if err != nil {
		return nil, err
	}
	if _, err := readWrapped(file); !errors.Is(err, errNoKey) {
		return nil, errors.Join(errors.New("there is a notebook here already: open it with its passphrase"), file.Close())
	}
	v := &Vault{disk: disk, key: make([]byte, keyBytes), held: file}
	w := wrapped{Form: wrappedForm, Rounds: Rounds, Salt: make([]byte, saltBytes)}
	rand.Read(v.key)
	rand.Read(w.Salt)
	if err := v.wrap(w, passphrase, stretch); err != nil {
		return nil, errors.Join(err, file.Close())
	}
	return v, nil
}

// wrap writes the key file.
func (v *Vault) wrap(w wrapped, passphrase string, stretch Stretch) error {
	seal, err := w.seal(passphrase, stretch)
	if err != nil {
		return err
	}
	w.DataKey = seal.Seal(nil, nil, v.key, []byte(wrappedForm))
	text, err := json.Marshal(w)
	if err != nil {
		return err
	}
	if err := v.held.Truncate(0); err != nil {
		return err
	}
	if _, err := v.held.WriteAt(append(text, '\n'), 0); err != nil {
		return err
	}
	return v.held.Sync()
}

// seal is the cipher of the key made from a passphrase.
func (w wrapped) seal(passphrase string, stretch Stretch) (cipher.AEAD, error) {
	key, err := stretch(passphrase, w.Salt, w.Rounds)
	if err != nil {
		return nil, err
	}
	block, err := aes.NewCipher(key)
	if err != nil {
		return nil, err
	}
	return cipher.NewGCMWithRandomNonce(block)
}

// Unlock opens a sealed disk with its passphrase.
func Unlock(disk Disk, passphrase string, stretch Stretch) (*Vault, error) {
	file, err := disk.Open("key")
	if err != nil {
		return nil, err
	}
	v, err := unlock(disk, file, passphrase, stretch)
	if err != nil {
		return nil, errors.Join(err, file.Close())
	}
	return v, nil
}

func unlock(disk Disk, file File, passphrase string, stretch Stretch) (*Vault, error) {
	w, err := readWrapped(file)
	if err != nil {
		return nil, err
	}
	seal, err := w.seal(passphrase, stretch)
	if err != nil {
		return nil, err
	}
	key, err := seal.Open(nil, nil, w.DataKey, []byte(wrappedForm))
	if err != nil || len(key) != keyBytes {
		return nil, ErrPassphrase
	}
	return &Vault{disk: disk, key: key, held: file}, nil
}

var errNoKey = errors.New("no notebook here yet")

// readWrapped reads the key file. One without a line break was never
// acknowledged.
func readWrapped(file File) (wrapped, error) {
	var w wrapped
	size, err := file.Size()
	if err != nil {
		return w, err
	}
	text := make([]byte, min(size, 1<<12))
	if n, err := file.ReadAt(text, 0); n < len(text) {
		return w, err
	}
	if !bytes.HasSuffix(text, []byte("}\n")) {
		return w, errNoKey
	}
	if err := json.Unmarshal(text, &w); err != nil || w.Form != wrappedForm || w.Rounds < 1 || w.Rounds > mostRound || len(w.Salt) != saltBytes {
		return w, fmt.Errorf("file key: %.60q: not a key this version reads; use the version that wrote it, or a later one", text)
	}
	return w, nil
}

// keyFor is the key of one file, so that no two files share one (HKDF, RFC 5869).
func (v *Vault) keyFor(name string) ([]byte, error) {
	return hkdf.Key(sha256.New, v.key, nil, "dawnround file "+name, keyBytes)
}

// Journal opens a file of the vault and gives its frames to take; from is as far
// as it is known to be whole, 0 for not at all, and what lies there already.
func (v *Vault) Journal(name string, from int64, take func(Frame) error) (*Journal, error) {
	key, err := v.keyFor(name)
	if err != nil {
		return nil, err
	}
	return openJournal(v.disk, name, key, from, take)
}

// Discard empties every file of a vault that was never filled: the disk is as
// new. It ends the vault.
func (v *Vault) Discard() error {
	err := v.held.Truncate(0)
	err = errors.Join(err, v.held.Sync(), v.held.Close())
	for _, name := range []string{"lines", "drafts", "self", "words", "snapshot", "blobs", "blobindex"} {
		file, open := v.disk.Open(name)
		if open != nil {
			err = errors.Join(err, open)
			continue
		}
		err = errors.Join(err, file.Truncate(0), file.Sync(), file.Close())
	}
	return err
}

// Close lets another open the disk.
func (v *Vault) Close() error { return v.held.Close() }
