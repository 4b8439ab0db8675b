package main

import (
	"context"
	"encoding/json"
	"fmt"
	"runtime/debug"
	"syscall/js"
	"time"
	_ "time/tzdata" // a browser gives a program no zones

	"dawnround/courier"
	"dawnround/notebook/browser"
)

// main gives the worker its functions and waits for what the shell asks.
func main() {
	core = js.Global().Get("coreVersion").String()
	folder, err := browser.OpenFolder("notebook")
	if err != nil {
		post("trouble", err.Error())
		return
	}
	p := newPhone(folder, browser.PBKDF2, carry, time.Now, func(far progress) { post("progress", plain(far)) })
	p.home = js.Global().Get("location").Get("origin").String()
	asks := make(chan func(), 64)
	js.Global().Set("ask", js.FuncOf(func(_ js.Value, args []js.Value) any {
		id, a := args[0], askOf(args[1])
		asks <- func() {
			if p.open == nil {
				defer unswept()()
			}
			reply(id, p.answer(a), p.state())
		}
		return nil
	}))
	js.Global().Set("typed", js.FuncOf(func(_ js.Value, args []js.Value) any {
		words := args[0].String()
		asks <- func() {
			if err := p.typed([]byte(words)); err != nil {
				post("trouble", fmt.Sprintf("what is typed is not kept until it is sent: %v", err))
			}
		}
		return nil
	}))
	js.Global().Set("room", js.FuncOf(func(_ js.Value, args []js.Value) any {
		r := args[0]
		p.room = room{Known: true, Persisted: r.Get("persisted").Bool(), Used: int64(r.Get("usage").Float()), Of: int64(r.Get("quota").Float())}
		return nil
	}))
	post("ready", nil)
	for do := range asks {
		do()
	}
}

// mostUnswept is how large the program may grow while a notebook opens before
// what it no longer needs is swept: most of what is made then stays.
const mostUnswept = 500 << 20

// unswept opens without sweeping, and gives what ends that.
func unswept() (end func()) {
	percent, limit := debug.SetGCPercent(-1), debug.SetMemoryLimit(mostUnswept)
	return func() {
		debug.SetMemoryLimit(limit)
		debug.SetGCPercent(percent)
	}
}

func askOf(v js.Value) ask {
	body := make([]byte, v.Get("body").Get("length").Int())
	js.CopyBytesToGo(body, v.Get("body"))
	return ask{
		Method: v.Get("method").String(), Path: v.Get("path").String(), Type: v.Get("type").String(),
		Accept: v.Get("accept").String(), From: v.Get("from").String(), Body: body,
	}
}

// reply posts an answer to the shell; its bytes go along without being copied.
func reply(id js.Value, a answer, s state) {
	body := js.Global().Get("Uint8Array").New(len(a.Body))
	js.CopyBytesToJS(body, a.Body)
	js.Global().Call("postMessage", map[string]any{
		"answer": id, "status": a.Status, "path": a.Path, "type": a.Type, "file": a.File, "body": body, "state": plain(s),
	}, []any{body.Get("buffer")})
}

// carry makes the way to a device at an address: the browser's own fetch,
// without cookies, broken off when nothing comes.
func carry(address string) courier.Carry {
	return func(ctx context.Context, path, authorization string, body []byte) (courier.Answer, error) {
		if err := ctx.Err(); err != nil {
			return courier.Answer{}, err
		}
		bytes := js.Global().Get("Uint8Array").New(len(body))
		js.CopyBytesToJS(bytes, body)
		headers := map[string]any{"Content-Type": "application/octet-stream"}
		if authorization != "" {
			headers["Authorization"] = authorization
		}
		how := map[string]any{
			"method": "POST", "body": bytes, "headers": headers, "credentials": "omit", "mode": "cors", "cache": "no-store", "redirect": "error",
			"signal": js.Global().Get("AbortSignal").Call("timeout", patience.Milliseconds()),
		}
		reply, err := browser.Await(func() js.Value { return js.Global().Call("fetch", address+path, how) })
		if err != nil {
			return courier.Answer{}, fmt.Errorf("%s does not answer: %w; are both on one network?", address, err)
		}
		came, err := browser.Await(func() js.Value { return reply.Call("arrayBuffer") })
		if err != nil {
			return courier.Answer{}, fmt.Errorf("%s broke off: %w", address, err)
		}
		array := js.Global().Get("Uint8Array").New(came)
		answer := courier.Answer{Status: reply.Get("status").Int(), Body: make([]byte, array.Get("length").Int())}
		js.CopyBytesToGo(answer.Body, array)
		return answer, nil
	}
}

// patience is how long an answer may take: the laptop waits for a person for up
// to 20 s before it says that nobody has decided yet.
const patience = 40 * time.Second

func post(kind string, v any) { js.Global().Call("postMessage", map[string]any{kind: v, "kind": kind}) }

// plain makes a value that the browser can hold of one of ours.
func plain(v any) js.Value {
	text, err := json.Marshal(v)
	if err != nil {
		panic(err) // our own struct
	}
	return js.Global().Get("JSON").Call("parse", string(text))
}
