package notebook

import (
	"crypto/ed25519"
	"encoding/json"
	"errors"
	"fmt"
	"os"
	"path/filepath"
	"runtime"
	"time"

	"github.com/google/uuid"
)

// Installation is the folder, outside every programme's folder, in which this
// computer keeps its devices' private keys. A notebook that is restored from a
// backup, copied or moved therefore does not bring its key along, and goes on as
// a new device instead of writing a second version of the old one's lines.
type Installation string

// HomeVariable names the environment variable that overrides the installation folder.
const HomeVariable = "DAWNROUND_HOME"

// rememberEvery is the number of own lines after which the head is remembered
// anew: a restored copy that lags by fewer than this goes unnoticed here, and
// shows as a fork at the next merge.
const rememberEvery = 50

// DefaultInstallation is the folder named by DAWNROUND_HOME, otherwise
// dawnround in the user's configuration folder.
func DefaultInstallation() (Installation, error) {
	if home := os.Getenv(HomeVariable); home != "" {
		return Installation(home), nil
	}
	config, err := os.UserConfigDir()
	if err != nil {
		return "", fmt.Errorf("no folder for this computer's keys: %w; set %s to one", err, HomeVariable)
	}
	return Installation(filepath.Join(config, "dawnround")), nil
}

// Device is the device a notebook is to be opened as.
type Device struct {
	Key ed25519.PrivateKey
	New bool
	Why string // why it is new, to tell the person: "an older copy was put back"
}

// deviceFile is what is kept of one device, in a file of its own.
type deviceFile struct {
	Programme uuid.UUID `json:"programme"`
	Device    DeviceID  `json:"device"`
	Folder    string    `json:"folder"`            // absolute
	Seed      []byte    `json:"seed"`              // of the private key
	Head      Head      `json:"head"`              // the last known
	Retired   bool      `json:"retired,omitempty"` // another device has taken its place
}

// Create begins a notebook in folder as a new device: see [Create].
func (in Installation) Create(store Store, programme uuid.UUID, folder string, now func() time.Time) (*Notebook, error) {
	_, key, err := ed25519.GenerateKey(nil)
	if err != nil {
		return nil, err
	}
	return in.CreateAs(store, programme, key, folder, now)
}

// CreateAs begins a notebook in folder as the device that holds key, which has
// asked under it to take part.
func (in Installation) CreateAs(store Store, programme uuid.UUID, key ed25519.PrivateKey, folder string, now func() time.Time) (*Notebook, error) {
	n, err := Create(store, programme, key, now)
	if err != nil {
		return nil, err
	}
	return n, in.attend(n, folder)
}

// Open opens the notebook in folder as the device that wrote there last, or as a
// new one where that would be wrong, and from then on remembers where it ends.
// Close the notebook before its store. Readers are as for [Open].
func (in Installation) Open(store Store, folder string, now func() time.Time, readers ...func(Line)) (*Notebook, Device, error) {
	heads, signed, err := store.Heads()
	if err != nil {
		return nil, Device{}, err
	}
	programme, err := programmeOf(signed)
	if err != nil {
		return nil, Device{}, err
	}
	device, err := in.DeviceFor(programme, folder, heads)
	if err != nil {
		return nil, Device{}, err
	}
	n, err := Open(store, device.Key, now, readers...)
	if err != nil {
		return nil, Device{}, err
	}
	if n.Device() != deviceOf(device.Key) {
		device = Device{n.Key(), true, "two copies of this notebook were written in as one device"}
	}
	return n, device, in.attend(n, folder)
}

// DeviceFor gives the device that writes in folder. It is a new one where none
// is known for this folder, or where the notebook's head is behind what the
// known one remembers, for then an older copy has been put in its place.
func (in Installation) DeviceFor(programme uuid.UUID, folder string, heads Heads) (Device, error) {
	folder, err := realPath(folder)
	if err != nil {
		return Device{}, err
	}
	files, err := in.files(programme)
	if err != nil {
		return Device{}, err
	}
	why := "first time on this computer"
	for _, f := range files {
		head := heads[f.Device]
		switch {
		case f.Folder != folder:
			why = "copied or moved here from " + f.Folder
		case f.Retired:
		case head.Seq > f.Head.Seq || head == f.Head:
			return Device{Key: ed25519.NewKeyFromSeed(f.Seed)}, nil
		default:
			why = fmt.Sprintf("an older copy was put back: it ends at line %d, but %d lines were written here", head.Seq, f.Head.Seq)
		}
	}
	_, key, err := ed25519.GenerateKey(nil)
	return Device{Key: key, New: true, Why: why}, err
}

// attend has the notebook remember its head from now on.
func (in Installation) attend(n *Notebook, folder string) error {
	n.mu.Lock()
	defer n.mu.Unlock()
	n.remember = func(key ed25519.PrivateKey, head Head) error {
		return in.remember(n.programme, folder, key, head)
	}
	n.recall()
	return n.forgot
}

// remember keeps a device's key and head, and retires others of the same folder.
func (in Installation) remember(programme uuid.UUID, folder string, key ed25519.PrivateKey, head Head) error {
	folder, err := realPath(folder)
	if err != nil {
		return err
	}
	now := deviceFile{Programme: programme, Device: deviceOf(key), Folder: folder, Seed: key.Seed(), Head: head}
	if err := in.save(now); err != nil {
		return err
	}
	files, err := in.files(programme)
	for _, f := range files {
		if f.Folder == folder && f.Device != now.Device && !f.Retired {
			f.Retired = true
			err = errors.Join(err, in.save(f))
		}
	}
	return err
}

// files gives what is known of a programme's devices, in order of file names.
func (in Installation) files(programme uuid.UUID) ([]deviceFile, error) {
	names, err := filepath.Glob(filepath.Join(in.devices(), "*.json"))
	if err != nil {
		return nil, err
	}
	var files []deviceFile
	for _, name := range names {
		text, err := os.ReadFile(name)
		if err != nil {
			return nil, err
		}
		var f deviceFile
		if err := json.Unmarshal(text, &f); err != nil || len(f.Seed) != ed25519.SeedSize {
			return nil, fmt.Errorf("%s: not a device's key; move it away, and the notebook goes on as a new device", name)
		}
		if f.Programme == programme {
			files = append(files, f)
		}
	}
	return files, nil
}

func (in Installation) devices() string { return filepath.Join(string(in), "devices") }

// save writes a device's file whole or not at all.
func (in Installation) save(f deviceFile) error {
	if err := os.MkdirAll(in.devices(), 0o700); err != nil {
		return err
	}
	text, err := json.MarshalIndent(f, "", "\t")
	if err != nil {
		return err
	}
	return replaceFile(filepath.Join(in.devices(), f.Device.String()+".json"), append(text, '\n'))
}

// replaceFile puts text in the place of a file that only its owner may read; a
// power cut leaves the old text or the new.
func replaceFile(name string, text []byte) error {
	temp, err := os.CreateTemp(filepath.Dir(name), ".new-*") // mode 0600
	if err != nil {
		return err
	}
	defer os.Remove(temp.Name()) // nothing is left to remove once renamed
	_, err = temp.Write(text)
	if err := errors.Join(err, temp.Sync(), temp.Close()); err != nil {
		return err
	}
	if err := os.Rename(temp.Name(), name); err != nil {
		return err
	}
	return SyncFolder(filepath.Dir(name))
}

// SyncFolder makes a rename last. Where a folder cannot be synced, as on
// Windows, the file system sees to it itself.
func SyncFolder(name string) error {
	folder, err := os.Open(name)
	if err != nil {
		return err
	}
	defer folder.Close()
	if err := folder.Sync(); err != nil && !errors.Is(err, errors.ErrUnsupported) && runtime.GOOS != "windows" {
		return err
	}
	return nil
}

// realPath gives the one absolute name of a folder.
func realPath(folder string) (string, error) {
	folder, err := filepath.Abs(folder)
	if err != nil {
		return "", err
	}
	return filepath.EvalSymlinks(folder)
}

// recall remembers the head, where an installation attends. That it could not
// is told when the notebook is closed: the lines themselves are safe.
func (n *Notebook) recall() {
	if n.remember == nil {
		return
	}
	n.lately = 0
	n.forgot = n.remember(n.key, n.heads[deviceOf(n.key)])
}

// Close remembers where the notebook ends. The store remains open.
func (n *Notebook) Close() error {
	n.mu.Lock()
	defer n.mu.Unlock()
	n.recall()
	return n.forgot
}
