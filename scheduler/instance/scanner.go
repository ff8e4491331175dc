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
// nesting open by itself, so depth costs nothing. Text that is JSON throughout, as nearly all is, it cuts up by
// itself, some ten times as fast as the decoder, which finds the words for the rest.
type scanner struct {
	data  []byte
	dec   *json.Decoder // nil: the text is JSON throughout
	start int           // offset of the first byte after a byte-order mark
	last  int           // offset of the latest token
	past  int           // without a decoder: offset after the latest token
}

func newScanner(data []byte) (*scanner, error) {
	s := &scanner{data: data}
	if len(data) > MaxBytes {
		return nil, &BadInput{1, 1, fmt.Sprintf("more than %d MB", MaxBytes>>20), "a smaller instance"}
	}
	if bytes.HasPrefix(data, []byte("\ufeff")) {
		s.start = 3
	}
	if !utf8.Valid(data) {
		i := s.start
		for r, n := utf8.DecodeRune(data[i:]); r != utf8.RuneError || n != 1; r, n = utf8.DecodeRune(data[i:]) {
			i += n
		}
		return nil, s.bad(i, fmt.Sprintf("byte 0x%02x is no text", data[i]), "JSON in UTF-8")
	}
	if s.past = s.start; json.Valid(data[s.start:]) {
		return s, nil
	}
	s.dec = json.NewDecoder(bytes.NewReader(data[s.start:]))
	s.dec.UseNumber()
	return s, nil
}

// next returns the next token and its offset.
func (s *scanner) next(right string) (json.Token, int, error) {
	// The decoder tells only where a token ends, so its start is found from the one before.
	s.last = s.gap()
	if s.dec == nil {
		return s.cut(right)
	}
	tok, err := s.dec.Token()
	if err != nil {
		return nil, 0, s.broken(err, right)
	}
	return tok, s.last, nil
}

// cut is next for text that is JSON throughout.
func (s *scanner) cut(right string) (json.Token, int, error) {
	at := s.last
	if at == len(s.data) {
		return nil, 0, s.broken(io.EOF, right)
	}
	end := at + 1
	switch c := s.data[at]; c {
	case '{', '}', '[', ']':
		s.past = end
		return json.Delim(c), at, nil
	case '"':
		plain := true
		for ; s.data[end] != '"'; end++ {
			if s.data[end] == '\\' {
				plain, end = false, end+1
			}
		}
		s.past = end + 1
		if plain {
			return string(s.data[at+1 : end]), at, nil
		}
	default:
		for end < len(s.data) && within(s.data[end]) {
			end++
		}
		s.past = end
		if c == '-' || '0' <= c && c <= '9' {
			return json.Number(s.data[at:end]), at, nil
		}
	}
	var tok any // a text with escapes, true, false or null
	if err := json.Unmarshal(s.data[at:s.past], &tok); err != nil {
		return nil, 0, s.broken(err, right)
	}
	return tok, at, nil
}

// within tells whether a byte goes on with a number or a bare word.
func within(c byte) bool {
	return '0' <= c && c <= '9' || 'a' <= c && c <= 'z' || c == '.' || c == '-' || c == '+' || c == 'E'
}

// gap is the offset of the next token: past spaces and the one comma or colon due before it.
func (s *scanner) gap() int {
	at := s.past
	if s.dec != nil {
		at = s.start + int(s.dec.InputOffset())
	}
	at = s.spaces(at)
	if at < len(s.data) && (s.data[at] == ',' || s.data[at] == ':') {
		at = s.spaces(at + 1)
	}
	return at
}

func (s *scanner) spaces(at int) int {
	for ; at < len(s.data); at++ {
		switch s.data[at] {
		case ' ', '\t', '\r', '\n':
		default:
			return at
		}
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
	if s.dec == nil { // else it would not be JSON throughout
		return nil
	}
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
