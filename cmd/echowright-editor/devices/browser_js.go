package devices

import (
	"archive/zip"
	"bytes"
	"encoding/base64"
	"fmt"
	"path"
	"slices"
	"strings"
	"syscall/js"
	"time"

	"echowright/planner/editor"
	"echowright/planner/editor/canvas"
	"echowright/planner/editor/input"
)

// system is what only a browser needs: where the pointer was when files were dropped is told by the page.
type system struct {
	listening bool
}

const largest = 64 << 20

// await waits for a promise; ok is false when it is refused.
func await(promise js.Value) (v js.Value, ok bool) {
	type end struct {
		v  js.Value
		ok bool
	}
	done := make(chan end, 1)
	arg := func(args []js.Value) js.Value {
		if len(args) > 0 {
			return args[0]
		}
		return js.Undefined()
	}
	then := js.FuncOf(func(_ js.Value, args []js.Value) any { done <- end{arg(args), true}; return nil })
	fail := js.FuncOf(func(_ js.Value, args []js.Value) any { done <- end{arg(args), false}; return nil })
	defer then.Release()
	defer fail.Release()
	promise.Call("then", then, fail)
	e := <-done
	return e.v, e.ok
}

// content is what a File of the page holds, or in words why that cannot be told.
func content(file js.Value, room int) (data []byte, why string) {
	if n := file.Get("size").Float(); n > float64(room) {
		return nil, fmt.Sprintf("it is larger than %d MiB", room>>20)
	}
	v, ok := await(file.Call("arrayBuffer"))
	if !ok {
		return nil, "the browser does not hand it over; is it a folder?"
	}
	array := js.Global().Get("Uint8Array").New(v)
	data = make([]byte, array.Get("length").Int())
	js.CopyBytesToGo(data, array)
	return data, ""
}

func document() js.Value { return js.Global().Get("document") }

func element(name string) js.Value { return document().Call("createElement", name) }

// open lets the browser's own window choose; a browser that does not tell of a cancelled choice leaves the wish open.
func (m *Machine) open(r editor.Reply) editor.Reply {
	in := element("input")
	in.Set("type", "file")
	chosen := make(chan bool, 2)
	change := js.FuncOf(func(js.Value, []js.Value) any { chosen <- true; return nil })
	cancel := js.FuncOf(func(js.Value, []js.Value) any { chosen <- false; return nil })
	defer change.Release()
	defer cancel.Release()
	in.Call("addEventListener", "change", change)
	in.Call("addEventListener", "cancel", cancel)
	in.Call("click")
	if !<-chosen || in.Get("files").Get("length").Int() == 0 {
		r.Gone = true
		return r
	}
	file := in.Get("files").Index(0)
	r.Name = file.Get("name").String()
	r.Data, r.Err = content(file, largest)
	return r
}

func (m *Machine) read(r editor.Reply) editor.Reply {
	r.Err = "a page in a browser reads no file by its name; choose it"
	return r
}

func (m *Machine) list(r editor.Reply) editor.Reply { return m.read(r) }

// recents: a page cannot open a file again by its name.
func (m *Machine) recents(r editor.Reply) editor.Reply { return r }

// paperKey holds in the page's own store whether the paper was dark.
const paperKey = "echowright/paper"

func (m *Machine) keepPaper(paper string) { _, _ = storage("setItem", paperKey, paper) }

// Dark reports whether the paper was dark when the program was last used.
func (m *Machine) Dark() bool {
	v, err := storage("getItem", paperKey)
	return err == nil && v.Type() == js.TypeString && v.String() == "dark"
}

// save gives the file to the user as a download.
func (m *Machine) save(r editor.Reply, data []byte) editor.Reply {
	r.Data = data
	if r.Name = path.Base(r.Name); r.Name == "." || r.Name == "/" {
		r.Name = "layout.yaml"
	}
	array := js.Global().Get("Uint8Array").New(len(data))
	js.CopyBytesToJS(array, data)
	blob := js.Global().Get("Blob").New([]any{array})
	url := js.Global().Get("URL").Call("createObjectURL", blob)
	a := element("a")
	a.Set("href", url)
	a.Set("download", r.Name)
	a.Call("click")
	go func() {
		time.Sleep(time.Minute) // by then the browser has taken the content
		js.Global().Get("URL").Call("revokeObjectURL", url)
	}()
	return r
}

func (m *Machine) saveAs(r editor.Reply, data []byte) editor.Reply { return m.save(r, data) }

// takeAway gives all files as one archive: browsers ask before a page may save many.
func (m *Machine) takeAway(r editor.Reply, files map[string][]byte) editor.Reply {
	var b bytes.Buffer
	z := zip.NewWriter(&b)
	names := make([]string, 0, len(files))
	for n := range files {
		names = append(names, n)
	}
	slices.Sort(names)
	for _, n := range names {
		w, err := z.Create(n)
		if err == nil {
			_, err = w.Write(files[n])
		}
		if err != nil {
			r.Err = err.Error()
			return r
		}
	}
	if err := z.Close(); err != nil {
		r.Err = err.Error()
		return r
	}
	r.Name = "echowright.zip"
	return m.save(r, b.Bytes())
}

// pageClipboard is undefined where the page is not on a secure address.
func pageClipboard() js.Value { return js.Global().Get("navigator").Get("clipboard") }

func (m *Machine) copy(r editor.Reply, text string) editor.Reply {
	if c := pageClipboard(); c.Truthy() {
		if _, ok := await(c.Call("writeText", text)); ok {
			return r
		}
	}
	r.Err = "the browser does not let this page use the clipboard"
	return r
}

// paste falls back to what was copied here when the browser refuses.
func (m *Machine) paste(r editor.Reply) editor.Reply {
	r.Text, _ = m.recall()
	if c := pageClipboard(); c.Truthy() && c.Get("readText").Truthy() {
		if v, ok := await(c.Call("readText")); ok {
			r.Text = v.String()
		}
	}
	return r
}

// Unsaved work lies in the page's own store, which holds text only.
const keptPrefix = "echowright/kept/"

// storage calls the page's own store; a browser that forbids it throws.
func storage(method string, args ...any) (v js.Value, err error) {
	defer func() {
		if p := recover(); p != nil {
			err = fmt.Errorf("the browser keeps nothing for this page: %v", p)
		}
	}()
	return js.Global().Get("localStorage").Call(method, args...), nil
}

func (m *Machine) keepAside(r editor.Reply, data []byte) editor.Reply {
	text := time.Now().UTC().Format(time.RFC3339) + " " + base64.StdEncoding.EncodeToString(data)
	if _, err := storage("setItem", keptPrefix+r.Name, text); err != nil {
		r.Err = err.Error()
	}
	return r
}

func (m *Machine) forget(r editor.Reply) editor.Reply {
	if _, err := storage("removeItem", keptPrefix+r.Name); err != nil {
		r.Err = err.Error()
	}
	return r
}

func (m *Machine) kept() []editor.Reply {
	var rs []editor.Reply
	for i := 0; ; i++ {
		key, err := storage("key", i)
		if err != nil || key.IsNull() {
			return rs
		}
		name, ours := strings.CutPrefix(key.String(), keptPrefix)
		if !ours {
			continue
		}
		v, err := storage("getItem", key)
		if err != nil || v.IsNull() {
			continue
		}
		when, text, _ := strings.Cut(v.String(), " ")
		if data, err := base64.StdEncoding.DecodeString(text); err == nil {
			rs = append(rs, editor.Reply{Kind: editor.Kept, Name: name, Data: data, Text: when})
		}
	}
}

// Close has nothing to end in a browser.
func (m *Machine) Close() {}

// TakeDrops listens for dropped files from the first call on. The page's events are taken before Ebitengine
// sees them, which does not survive a drop made by a script.
func (m *Machine) TakeDrops(canvas.Point, time.Duration) {
	if m.listening {
		return
	}
	m.listening = true
	start := time.Now()
	hold := func(e js.Value) {
		e.Call("preventDefault")
		e.Call("stopImmediatePropagation")
	}
	window := js.Global()
	window.Call("addEventListener", "dragover", js.FuncOf(func(_ js.Value, args []js.Value) any { hold(args[0]); return nil }), true)
	window.Call("addEventListener", "drop", js.FuncOf(func(_ js.Value, args []js.Value) any {
		e := args[0]
		hold(e)
		at := canvas.Point{e.Get("clientX").Float(), e.Get("clientY").Float()}
		var files []js.Value
		if t := e.Get("dataTransfer"); t.Truthy() {
			for i := range t.Get("files").Get("length").Int() {
				files = append(files, t.Get("files").Index(i))
			}
		}
		now := time.Since(start)
		go m.readDrop(files, at, now)
		return nil
	}), true)
}

func (m *Machine) readDrop(files []js.Value, at canvas.Point, now time.Duration) {
	e := input.Event{Kind: input.Drop, At: at, Now: now}
	room := largest
	for _, f := range files {
		one := input.File{Name: f.Get("name").String()}
		one.Data, one.Err = content(f, room)
		room -= len(one.Data)
		e.Files = append(e.Files, one)
	}
	m.drop(e)
}

// Title writes into the browser's tab what the page shows.
func Title(s string) { document().Set("title", s) }
