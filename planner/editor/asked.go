package editor

import (
	"strings"

	"echowright/planner/editor/live"
	"echowright/planner/plan"
)

// asked is what hands asked for beside the plan: ways out or what breaks first. It is of one text, and stands for as long as that
// is the document's: after another change it is gone, after that is taken back it is there again.
type asked struct {
	want   live.Want
	search int    // counts what was asked for: answers carry it
	text   string // of the document it is about
	busy   bool

	found   []plan.Way // as they came, while it is busy
	ways    *plan.Ways
	margins *plan.Margins
	plan    *plan.Plan // with the margins, to read rows off
	wrong   string
}

// askFor begins a search, or ends the one under way for the same.
func (e *Editor) askFor(w live.Want) {
	if e.asked.busy && e.asked.want == w {
		e.stopSearch()
		return
	}
	e.asked = asked{want: w, search: e.asked.search + 1, text: e.log.Now(), busy: true}
	e.inquire(w)
	e.drawer, e.stale = true, true
	e.board.Reveal(askedCard, e.screen())
}

// inquire asks about the document as it stands, under the number it has: what is known of it stays.
func (e *Editor) inquire(w live.Want) {
	e.cfg.Analysis.Ask(live.Question{Number: e.number, File: e.name(), Text: []byte(e.log.Now()), Beams: e.beams, Want: w, Search: e.asked.search})
}

// stopSearch ends the search under way; nothing of it is kept.
func (e *Editor) stopSearch() {
	if !e.asked.busy {
		return
	}
	e.putAway()
	e.inquire(live.Nothing)
	e.say(words.searchStopped)
}

// putAway takes the cards of a search away.
func (e *Editor) putAway() { e.asked, e.stale = asked{search: e.asked.search}, true }

// asks reports whether what was asked for is about the document as it stands.
func (e *Editor) asks() bool { return e.asked.want != live.Nothing && e.asked.text == e.log.Now() }

// dropSearch forgets a search that another question has ended before it was over.
func (e *Editor) dropSearch() {
	if e.asked.busy {
		e.putAway()
	}
}

// hear takes an answer to what was asked for beside the plan.
func (e *Editor) hear(a live.Answer) {
	s := &e.asked
	if a.Search != s.search || !s.busy {
		return
	}
	if a.Stage == live.Found {
		s.found = append(s.found, a.Way)
		return
	}
	s.busy, s.found, s.ways, s.margins = false, nil, a.Ways, a.Margins
	if a.Err != nil {
		s.wrong, _, _ = strings.Cut(a.Err.Error(), "\n") // of an internal fault not the place
	}
	if s.margins != nil {
		p := *e.shown
		p.Margins = s.margins
		s.plan = &p
	}
}

// canAsk reports whether there is a plan to ask more about.
func canAsk(e *Editor) bool {
	return e.scheduled() && e.editable() && len(e.faults) == 0 && len(e.missing) == 0 && e.broken == "" && len(e.sensors()) > 0 && e.gesture == nil
}
