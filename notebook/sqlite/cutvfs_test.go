package sqlite

import (
	"fmt"
	"strings"
	"sync"
	"sync/atomic"
	"testing"
	"unsafe"

	"dawnround/notebook/storetest"

	"modernc.org/libc"
	sqlite3 "modernc.org/sqlite/lib"
)

// This file lets SQLite, translated to Go, lie on cutDisks: it registers one
// virtual file system (sqlite.org/vfs.html) whose methods find their disk by the
// first folder of a file's name. The wal-index (sqlite.org/walformat.html) is
// plain memory, as it is in a real crash: it is rebuilt, never recovered.

// TestPowerCut runs the store on such a disk, checkpointing often so that the
// log, the checkpoint and the closing are all interrupted.
func TestPowerCut(t *testing.T) {
	t.Parallel()
	register.Do(registerVFS)
	storetest.PowerCut(t, func(tb testing.TB) storetest.Disk {
		d := &mounted{cutDisk: newCutDisk(), folder: fmt.Sprintf("/disk%d", disksMade.Add(1))}
		disks.Store(d.folder, d.cutDisk)
		tb.Cleanup(func() { disks.Delete(d.folder) })
		return d
	})
}

// mounted is a cutDisk that SQLite can find.
type mounted struct {
	*cutDisk
	folder string
}

// Open is part of storetest.Disk.
func (m *mounted) Open() (storetest.Store, error) {
	s, err := open(vfsName, m.folder, evening, "_pragma=wal_autocheckpoint(8)")
	if err != nil {
		return nil, err
	}
	return s, nil
}

const vfsName = "cut"

var (
	register    sync.Once
	disks       sync.Map // folder to *cutDisk
	disksMade   atomic.Int64
	handles     sync.Map // number to *cutHandle; the number stands in SQLite's file structure
	handlesMade atomic.Uintptr
)

// cFile is SQLite's file structure, lengthened by a number of ours.
type cFile struct {
	methods uintptr
	number  uintptr
}

var ioMethods uintptr

// registerVFS builds the two method tables in C memory.
func registerVFS() {
	tls := libc.NewTLS()
	ioMethods = libc.Xcalloc(tls, 1, libc.Tsize_t(unsafe.Sizeof(sqlite3.Tsqlite3_io_methods{})))
	*at[sqlite3.Tsqlite3_io_methods](ioMethods) = sqlite3.Tsqlite3_io_methods{
		FiVersion: 2, FxClose: c(xClose), FxRead: c(xRead), FxWrite: c(xWrite), FxTruncate: c(xTruncate),
		FxSync: c(xSync), FxFileSize: c(xFileSize), FxLock: c(xLock), FxUnlock: c(xUnlock),
		FxCheckReservedLock: c(xCheckReservedLock), FxFileControl: c(xFileControl), FxSectorSize: c(xSectorSize),
		FxDeviceCharacteristics: c(xDeviceCharacteristics), FxShmMap: c(xShmMap), FxShmLock: c(xShmLock),
		FxShmBarrier: c(xShmBarrier), FxShmUnmap: c(xShmUnmap),
	}
	usual := at[sqlite3.Tsqlite3_vfs](sqlite3.Xsqlite3_vfs_find(tls, 0))
	name, err := libc.CString(vfsName)
	if err != nil {
		panic(err) // out of memory
	}
	vfs := libc.Xcalloc(tls, 1, libc.Tsize_t(unsafe.Sizeof(sqlite3.Tsqlite3_vfs{})))
	*at[sqlite3.Tsqlite3_vfs](vfs) = sqlite3.Tsqlite3_vfs{
		FiVersion: 2, FszOsFile: int32(unsafe.Sizeof(cFile{})), FmxPathname: 512, FzName: name,
		FxOpen: c(xOpen), FxDelete: c(xDelete), FxAccess: c(xAccess), FxFullPathname: c(xFullPathname),
		FxRandomness: usual.FxRandomness, FxSleep: usual.FxSleep, FxCurrentTime: usual.FxCurrentTime,
		FxGetLastError: c(xGetLastError), FxCurrentTimeInt64: usual.FxCurrentTimeInt64,
	}
	if rc := sqlite3.Xsqlite3_vfs_register(tls, vfs, 0); rc != sqlite3.SQLITE_OK {
		panic(rc)
	}
}

// c gives a Go function as the translated code calls it: a pointer to where the
// function's address is kept.
func c[F any](f F) uintptr { return *(*uintptr)(unsafe.Pointer(&struct{ f F }{f})) }

// at looks at C memory.
func at[T any](p uintptr) *T { return *(**T)(unsafe.Pointer(&p)) }

func bytesAt(p uintptr, n int32) []byte { return unsafe.Slice(at[byte](p), n) }

// locked finds the handle of a file and runs do with its disk locked.
func locked(file uintptr, do func(*cutHandle) int32) int32 {
	h, _ := handles.Load(at[cFile](file).number)
	handle := h.(*cutHandle)
	handle.disk.mu.Lock()
	defer handle.disk.mu.Unlock()
	return do(handle)
}

// okOr gives SQLITE_OK or the error.
func okOr(rc int32, ok bool) int32 {
	if ok {
		return sqlite3.SQLITE_OK
	}
	return rc
}

func diskOf(name string) *cutDisk {
	folder, _, _ := strings.Cut(strings.TrimPrefix(name, "/"), "/")
	d, _ := disks.Load("/" + folder)
	return d.(*cutDisk)
}

func xOpen(tls *libc.TLS, vfs, name, file uintptr, flags int32, outFlags uintptr) int32 {
	*at[cFile](file) = cFile{}
	number := handlesMade.Add(1)
	if name == 0 {
		return sqlite3.SQLITE_CANTOPEN // a nameless temporary file: temp_store keeps them in memory
	}
	path := libc.GoString(name)
	d := diskOf(path)
	d.mu.Lock()
	defer d.mu.Unlock()
	const journal = sqlite3.SQLITE_OPEN_MAIN_JOURNAL | sqlite3.SQLITE_OPEN_WAL
	h := d.open(path, flags&sqlite3.SQLITE_OPEN_CREATE != 0, flags&journal != 0)
	if h == nil {
		return sqlite3.SQLITE_CANTOPEN
	}
	handles.Store(number, h)
	*at[cFile](file) = cFile{methods: ioMethods, number: number}
	if outFlags != 0 {
		*at[int32](outFlags) = flags
	}
	return sqlite3.SQLITE_OK
}

func xDelete(tls *libc.TLS, vfs, name uintptr, syncFolder int32) int32 {
	path := libc.GoString(name)
	d := diskOf(path)
	d.mu.Lock()
	defer d.mu.Unlock()
	if d.files[path] == nil {
		return sqlite3.SQLITE_IOERR_DELETE_NOENT
	}
	return okOr(sqlite3.SQLITE_IOERR_DELETE, d.remove(path, syncFolder != 0))
}

func xAccess(tls *libc.TLS, vfs, name uintptr, flags int32, out uintptr) int32 {
	path := libc.GoString(name)
	d := diskOf(path)
	d.mu.Lock()
	defer d.mu.Unlock()
	*at[int32](out) = 0
	if f := d.files[path]; f != nil && (flags != sqlite3.SQLITE_ACCESS_EXISTS || len(f.now) > 0) {
		*at[int32](out) = 1
	}
	return sqlite3.SQLITE_OK
}

func xFullPathname(tls *libc.TLS, vfs, name uintptr, n int32, out uintptr) int32 {
	copy(bytesAt(out, n), libc.GoString(name)+"\x00")
	return sqlite3.SQLITE_OK
}

func xGetLastError(tls *libc.TLS, vfs uintptr, n int32, out uintptr) int32 { return 0 }

func xClose(tls *libc.TLS, file uintptr) int32 {
	rc := locked(file, func(h *cutHandle) int32 {
		h.close()
		return sqlite3.SQLITE_OK
	})
	handles.Delete(at[cFile](file).number)
	return rc
}

func xRead(tls *libc.TLS, file, buffer uintptr, n int32, offset int64) int32 {
	return locked(file, func(h *cutHandle) int32 {
		if h.disk.off {
			return sqlite3.SQLITE_IOERR_READ
		}
		b := bytesAt(buffer, n)
		clear(b)
		if offset >= int64(len(h.file.now)) || copy(b, h.file.now[offset:]) < len(b) {
			return sqlite3.SQLITE_IOERR_SHORT_READ
		}
		return sqlite3.SQLITE_OK
	})
}

func xWrite(tls *libc.TLS, file, buffer uintptr, n int32, offset int64) int32 {
	return locked(file, func(h *cutHandle) int32 {
		return okOr(sqlite3.SQLITE_IOERR_WRITE, h.write(int(offset), bytesAt(buffer, n)))
	})
}

func xTruncate(tls *libc.TLS, file uintptr, size int64) int32 {
	return locked(file, func(h *cutHandle) int32 { return okOr(sqlite3.SQLITE_IOERR_TRUNCATE, h.truncate(int(size))) })
}

func xSync(tls *libc.TLS, file uintptr, flags int32) int32 {
	return locked(file, func(h *cutHandle) int32 { return okOr(sqlite3.SQLITE_IOERR_FSYNC, h.sync()) })
}

func xFileSize(tls *libc.TLS, file, out uintptr) int32 {
	return locked(file, func(h *cutHandle) int32 {
		*at[int64](out) = int64(len(h.file.now))
		return sqlite3.SQLITE_OK
	})
}

func xLock(tls *libc.TLS, file uintptr, level int32) int32 {
	return locked(file, func(h *cutHandle) int32 { return okOr(sqlite3.SQLITE_BUSY, h.lock(level)) })
}

func xUnlock(tls *libc.TLS, file uintptr, level int32) int32 {
	return locked(file, func(h *cutHandle) int32 {
		h.level = min(h.level, level)
		return sqlite3.SQLITE_OK
	})
}

func xCheckReservedLock(tls *libc.TLS, file, out uintptr) int32 {
	return locked(file, func(h *cutHandle) int32 {
		*at[int32](out) = libc.Bool32(h.reserved())
		return sqlite3.SQLITE_OK
	})
}

func xFileControl(tls *libc.TLS, file uintptr, op int32, arg uintptr) int32 {
	return sqlite3.SQLITE_NOTFOUND
}

func xSectorSize(tls *libc.TLS, file uintptr) int32 { return sector }

// xDeviceCharacteristics claims what SQLite's own Unix file system claims: a
// write that is cut off harms no bytes outside it.
func xDeviceCharacteristics(tls *libc.TLS, file uintptr) int32 {
	return sqlite3.SQLITE_IOCAP_POWERSAFE_OVERWRITE
}

func xShmMap(tls *libc.TLS, file uintptr, region, size, extend int32, out uintptr) int32 {
	return locked(file, func(h *cutHandle) int32 {
		*at[uintptr](out) = 0
		for extend != 0 && int(region) >= len(h.file.shm) {
			h.file.shm = append(h.file.shm, libc.Xcalloc(tls, 1, libc.Tsize_t(size)))
		}
		if int(region) < len(h.file.shm) {
			*at[uintptr](out) = h.file.shm[region]
		}
		return sqlite3.SQLITE_OK
	})
}

func xShmLock(tls *libc.TLS, file uintptr, from, n, flags int32) int32 {
	return locked(file, func(h *cutHandle) int32 {
		if flags&sqlite3.SQLITE_SHM_UNLOCK != 0 {
			h.shmUnlock(from, n)
			return sqlite3.SQLITE_OK
		}
		return okOr(sqlite3.SQLITE_BUSY, h.shmLock(from, n, flags&sqlite3.SQLITE_SHM_EXCLUSIVE != 0))
	})
}

func xShmBarrier(tls *libc.TLS, file uintptr) {
	locked(file, func(*cutHandle) int32 { return sqlite3.SQLITE_OK })
}

// xShmUnmap frees the wal-index when the last connection leaves.
func xShmUnmap(tls *libc.TLS, file uintptr, deletes int32) int32 {
	return locked(file, func(h *cutHandle) int32 {
		h.shmUnlock(0, sqlite3.SQLITE_SHM_NLOCK)
		if deletes != 0 {
			for _, region := range h.file.shm {
				libc.Xfree(tls, region)
			}
			h.file.shm = nil
		}
		return sqlite3.SQLITE_OK
	})
}
