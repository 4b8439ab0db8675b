package browser

import (
	"errors"
	"fmt"
	"io"
	"syscall/js"
)

// Folder is a folder of the browser's own file system for this site (OPFS): a
// [Disk]. It works in a dedicated worker only, and from a goroutine that may wait.
type Folder struct{ handle js.Value }

// OpenFolder opens a folder of the browser's file system, making it if there is none.
func OpenFolder(name string) (*Folder, error) {
	root, err := Await(func() js.Value { return js.Global().Get("navigator").Get("storage").Call("getDirectory") })
	if err != nil {
		return nil, fmt.Errorf("this browser keeps no files for a site: %w; use a browser of 2023 or later, and no private window", err)
	}
	handle, err := Await(func() js.Value { return root.Call("getDirectoryHandle", name, map[string]any{"create": true}) })
	return &Folder{handle}, err
}

// Open opens a file. It fails while another tab has it open.
func (f *Folder) Open(name string) (File, error) {
	file, err := Await(func() js.Value { return f.handle.Call("getFileHandle", name, map[string]any{"create": true}) })
	if err != nil {
		return nil, fmt.Errorf("file %s: %w", name, err)
	}
	access, err := Await(func() js.Value { return file.Call("createSyncAccessHandle") })
	if err != nil {
		return nil, fmt.Errorf("file %s: %w; is the notebook open in another tab? Close that one", name, err)
	}
	return &accessHandle{handle: access, room: bytesOf(64 << 10)}, nil
}

// accessHandle is a file that this worker alone has open.
type accessHandle struct {
	handle js.Value
	room   js.Value // where bytes pass between the program and the browser
}

func bytesOf(n int) js.Value { return js.Global().Get("Uint8Array").New(n) }

// of gives room for so many bytes.
func (a *accessHandle) of(n int) js.Value {
	if a.room.Get("length").Int() < n {
		a.room = bytesOf(n)
	}
	return a.room.Call("subarray", 0, n)
}

func (a *accessHandle) ReadAt(b []byte, at int64) (n int, err error) {
	err = trying(func() {
		room := a.of(len(b))
		n = a.handle.Call("read", room, map[string]any{"at": at}).Int()
		js.CopyBytesToGo(b[:n], room)
	})
	if err == nil && n < len(b) {
		err = io.EOF
	}
	return n, err
}

func (a *accessHandle) WriteAt(b []byte, at int64) (n int, err error) {
	err = trying(func() {
		room := a.of(len(b))
		js.CopyBytesToJS(room, b)
		n = a.handle.Call("write", room, map[string]any{"at": at}).Int()
	})
	if err == nil && n < len(b) {
		err = io.ErrShortWrite
	}
	return n, err
}

func (a *accessHandle) Truncate(size int64) error {
	return trying(func() { a.handle.Call("truncate", size) })
}

func (a *accessHandle) Size() (size int64, err error) {
	err = trying(func() { size = int64(a.handle.Call("getSize").Float()) })
	return size, err
}

func (a *accessHandle) Sync() error { return trying(func() { a.handle.Call("flush") }) }

func (a *accessHandle) Close() error { return trying(func() { a.handle.Call("close") }) }

// PBKDF2 stretches a passphrase with the browser's own code: see [Stretch].
func PBKDF2(passphrase string, salt []byte, rounds int) ([]byte, error) {
	subtle := js.Global().Get("crypto").Get("subtle")
	if subtle.IsUndefined() {
		return nil, errors.New("this address is not a secure one (https), so the browser has no cryptography here; open the notebook by its https address")
	}
	material, err := Await(func() js.Value {
		return subtle.Call("importKey", "raw", toJS([]byte(passphrase)), "PBKDF2", false, []any{"deriveBits"})
	})
	if err != nil {
		return nil, err
	}
	bits, err := Await(func() js.Value {
		how := map[string]any{"name": "PBKDF2", "hash": "SHA-256", "salt": toJS(salt), "iterations": rounds}
		return subtle.Call("deriveBits", how, material, 8*keyBytes)
	})
	if err != nil {
		return nil, err
	}
	key := make([]byte, keyBytes)
	js.CopyBytesToGo(key, js.Global().Get("Uint8Array").New(bits))
	return key, nil
}

func toJS(b []byte) js.Value {
	array := bytesOf(len(b))
	js.CopyBytesToJS(array, b)
	return array
}

// Await begins something of the browser's and waits until it is done.
func Await(begin func() js.Value) (js.Value, error) {
	var promise js.Value
	if err := trying(func() { promise = begin() }); err != nil {
		return js.Undefined(), err
	}
	type outcome struct {
		value js.Value
		err   error
	}
	done := make(chan outcome, 1)
	kept := js.FuncOf(func(_ js.Value, args []js.Value) any {
		done <- outcome{value: args[0]}
		return nil
	})
	defer kept.Release()
	broken := js.FuncOf(func(_ js.Value, args []js.Value) any {
		done <- outcome{err: js.Error{Value: args[0]}}
		return nil
	})
	defer broken.Release()
	promise.Call("then", kept, broken)
	got := <-done
	return got.value, got.err
}

// trying turns what the browser throws into an error.
func trying(do func()) (err error) {
	defer func() {
		if thrown := recover(); thrown != nil {
			why, ok := thrown.(js.Error)
			if !ok {
				panic(thrown)
			}
			err = why
		}
	}()
	do()
	return nil
}
