// Package recall keeps what was reckoned, to be found again by the value of all that went into it: in go values and a way
// to reckon, out comes what was reckoned, now or earlier. It knows nothing of what it keeps.
package recall

import (
	"crypto/sha256"
	"encoding/binary"
	"fmt"
	"math"
	"reflect"
	"sync"

	"github.com/golang/geo/r2"
)

// Key stands for values: equal values, bit by bit and whatever pointers lead to them, have equal keys, and of values of the
// same types no others have (SHA-256). The zero Key stands for nothing, and nothing is found by it.
type Key [sha256.Size]byte

// Of is the key of some values in their order, keys among them. A function, map, channel or interface inside one is a fault
// of the caller.
func Of(values ...any) Key {
	b := make([]byte, 0, 512)
	for _, v := range values {
		b = describe(b, reflect.ValueOf(v))
	}
	return sha256.Sum256(b)
}

var (
	pointsType = reflect.TypeFor[[]r2.Point]()
	keyType    = reflect.TypeFor[Key]()
)

// describe appends a value. Every length is written before what it counts, so that no two values look alike.
func describe(b []byte, v reflect.Value) []byte {
	switch v.Kind() {
	case reflect.Bool:
		if v.Bool() {
			return append(b, 1)
		}
		return append(b, 0)
	case reflect.Int, reflect.Int8, reflect.Int16, reflect.Int32, reflect.Int64:
		return binary.LittleEndian.AppendUint64(b, uint64(v.Int()))
	case reflect.Uint, reflect.Uint8, reflect.Uint16, reflect.Uint32, reflect.Uint64:
		return binary.LittleEndian.AppendUint64(b, v.Uint())
	case reflect.Float32, reflect.Float64:
		return number(b, v.Float())
	case reflect.String:
		return append(length(b, v.Len()), v.String()...)
	case reflect.Slice, reflect.Array:
		return describeList(length(b, v.Len()), v)
	case reflect.Struct:
		for i := range v.NumField() {
			b = describe(b, v.Field(i))
		}
		return b
	case reflect.Pointer:
		if v.IsNil() {
			return append(b, 0)
		}
		return describe(append(b, 1), v.Elem())
	}
	panic(fmt.Sprintf("recall: a %v cannot be told by its value", v.Kind()))
}

// describeList appends the entries of a list, points and keys by a short way.
func describeList(b []byte, v reflect.Value) []byte {
	if v.CanInterface() {
		switch v.Type() {
		case pointsType:
			for _, p := range v.Interface().([]r2.Point) {
				b = number(number(b, p.X), p.Y)
			}
			return b
		case keyType:
			k := v.Interface().(Key)
			return append(b, k[:]...)
		}
	}
	for i := range v.Len() {
		b = describe(b, v.Index(i))
	}
	return b
}

func length(b []byte, n int) []byte { return binary.LittleEndian.AppendUint32(b, uint32(n)) }

func number(b []byte, x float64) []byte {
	return binary.LittleEndian.AppendUint64(b, math.Float64bits(x))
}

// scenes is how many scenes back a Book remembers.
const scenes = 2

// Book keeps results by their keys. The zero value is empty. Several goroutines may use it.
type Book[V any] struct {
	mu    sync.Mutex
	pages [1 + scenes]map[Key]V // what was used since the last Turn, since the one before, …
}

// Of is the result filed under key, made when it is not there. Two goroutines that ask for one key at once may both make it.
func (b *Book[V]) Of(key Key, make func() V) V {
	if key == (Key{}) {
		return make()
	}
	if v, ok := b.Find(key); ok {
		return v
	}
	v := make()
	b.File(key, v)
	return v
}

// Find is the result filed under key, if there is one.
func (b *Book[V]) Find(key Key) (v V, ok bool) {
	b.mu.Lock()
	defer b.mu.Unlock()
	for i, page := range b.pages {
		if v, ok = page[key]; ok {
			if i > 0 {
				b.file(key, v)
			}
			return v, true
		}
	}
	return v, false
}

// File keeps a result; under no Key it keeps nothing.
func (b *Book[V]) File(key Key, v V) {
	if key == (Key{}) {
		return
	}
	b.mu.Lock()
	defer b.mu.Unlock()
	b.file(key, v)
}

func (b *Book[V]) file(key Key, v V) {
	if b.pages[0] == nil {
		b.pages[0] = map[Key]V{}
	}
	b.pages[0][key] = v
}

// Turn says that a scene is done: what neither it nor the one before used is forgotten.
func (b *Book[V]) Turn() {
	b.mu.Lock()
	defer b.mu.Unlock()
	copy(b.pages[1:], b.pages[:scenes])
	b.pages[0] = nil
}

// Fresh is how many results were used since the last Turn.
func (b *Book[V]) Fresh() int {
	b.mu.Lock()
	defer b.mu.Unlock()
	return len(b.pages[0])
}

// Len is how many results are kept.
func (b *Book[V]) Len() int {
	b.mu.Lock()
	defer b.mu.Unlock()
	kept := map[Key]bool{}
	for _, page := range b.pages {
		for k := range page {
			kept[k] = true
		}
	}
	return len(kept)
}
