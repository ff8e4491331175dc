package instance

import (
	"bytes"
	"encoding/json"
	"errors"
	"fmt"
	"io"
	"unicode/utf8"
)

// scanner hands out JSON tokens with the place of each. It never holds more than one level of
// nesting open by itself, so depth costs nothing.
type scanner struct {
	data  []byte
	dec   *json.Decoder
	start int // offset of the first byte after a byte-order mark
	last  int // offset of the latest token
}

func newScanner(data []byte) (*scanner, error) {
	s := &scanner{data: data}
	if len(data) > MaxBytes {
		return nil, &BadInput{1, 1, fmt.Sprintf("more than %d MB", MaxBytes>>20), "a smaller instance"}
	}
	if bytes.HasPrefix(data, []byte("\ufeff")) {
		s.start = 3
	}
	for i := s.start; i < len(data); {
		r, n := utf8.DecodeRune(data[i:])
		if r == utf8.RuneError && n == 1 {
			return nil, s.bad(i, fmt.Sprintf("byte 0x%02x is no text", data[i]), "JSON in UTF-8")
		}
		i += n
	}
	s.dec = json.NewDecoder(bytes.NewReader(data[s.start:]))
	s.dec.UseNumber()
	return s, nil
}

// next returns the next token and its offset.
func (s *scanner) next(right string) (json.Token, int, error) {
	// The decoder tells only where a token ends, so its start is found from the one before.
	s.last = s.gap()
	tok, err := s.dec.Token()
	if err != nil {
		return nil, 0, s.broken(err, right)
	}
	return tok, s.last, nil
}

// gap is the offset of the next token: past spaces and the one comma or colon due before it.
func (s *scanner) gap() int {
	at := s.spaces(s.start + int(s.dec.InputOffset()))
	if at < len(s.data) && (s.data[at] == ',' || s.data[at] == ':') {
		at = s.spaces(at + 1)
	}
	return at
}

func (s *scanner) spaces(at int) int {
	for at < len(s.data) && bytes.IndexByte([]byte(" \t\r\n"), s.data[at]) >= 0 {
		at++
	}
	return at
}

func (s *scanner) broken(err error, right string) error {
	var syntax *json.SyntaxError
	switch {
	case errors.As(err, &syntax):
		return s.bad(s.last, "not JSON: "+syntax.Error(), right)
	case errors.Is(err, io.EOF), errors.Is(err, io.ErrUnexpectedEOF):
		return s.bad(len(s.data), "ends too early", right)
	}
	return s.bad(s.last, "not JSON: "+err.Error(), right)
}

func (s *scanner) open(d json.Delim, right string) error {
	tok, at, err := s.next(right)
	if err == nil && tok != d {
		err = s.bad(at, s.quote(tok)+" where "+d.String()+" is due", right)
	}
	return err
}

func (s *scanner) text(right string) (string, error) {
	tok, at, err := s.next(right)
	if err != nil {
		return "", err
	}
	if t, ok := tok.(string); ok {
		return t, nil
	}
	return "", s.bad(at, s.quote(tok)+" where a text is due", right)
}

// end refuses anything after the instance.
func (s *scanner) end() error {
	at := s.gap()
	if _, err := s.dec.Token(); errors.Is(err, io.EOF) {
		return nil
	}
	return s.bad(at, "more after the end of the instance", "one instance in a file")
}

// quote shows a token as it was written, shortened.
func (s *scanner) quote(tok json.Token) string {
	switch t := tok.(type) {
	case string:
		return fmt.Sprintf("%.40q", t)
	case nil:
		return "null"
	}
	return fmt.Sprintf("%.40v", tok)
}

func (s *scanner) bad(at int, wrong, right string) *BadInput {
	at = min(at, len(s.data))
	before := s.data[min(s.start, at):at]
	line := 1 + bytes.Count(before, []byte("\n"))
	before = before[bytes.LastIndexByte(before, '\n')+1:]
	return &BadInput{line, 1 + utf8.RuneCount(before), wrong, right}
}
