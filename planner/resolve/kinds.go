package resolve

import (
	"fmt"
	"math"
	"slices"
	"strings"
	"time"

	"echowright/planner/layout"
	"echowright/planner/quantity"
	"echowright/planner/scene"
)

// card is a kind as written: its own entry, then the entries it is like, in turn. What the first leaves
// open the next says, value by value.
type card struct {
	r     *resolver
	name  string
	chain []layout.Entry
	roots []layout.Entry // the file each entry of chain was written in
	uses  []layout.Entry // the targets it speaks of
	cut   bool           // the chain breaks off at a `like` that leads nowhere, which has been said
}

// kindIndex returns the index in the scene of the kind named by ref, −1 when what is wrong has been said.
func (r *resolver) kindIndex(name string, ref layout.Entry) int {
	if !ref.Exists() {
		return -1
	}
	if i, ok := r.kinds[name]; ok {
		return i
	}
	k, uses := r.kindNamed(name, ref)
	if k == nil {
		return -1
	}
	r.kinds[name] = len(r.sc.Kinds)
	r.uses = append(r.uses, uses)
	r.sc.Kinds = append(r.sc.Kinds, *k)
	return r.kinds[name]
}

// kindNamed resolves a kind once, nil when what is wrong with it or with the reference has been said. uses are the entries
// it is made from.
func (r *resolver) kindNamed(name string, ref layout.Entry) (k *scene.Kind, uses []layout.Entry) {
	root, e, ok := r.findKind(name, layout.Entry{})
	if !ok {
		if !refused(r.doc, "kinds", name) {
			r.wrong(ref, nearest(name, keysOf("kinds", r.doc, r.builtin), "kinds"), "there is no kind of module %s", quote(name))
		}
		return nil, nil
	}
	c := card{r: r, name: name, chain: []layout.Entry{e}, roots: []layout.Entry{root}}
	c.follow()
	k = c.kind()
	if c.cut || slices.ContainsFunc(c.chain, func(e layout.Entry) bool { return e.Faulty() }) {
		return nil, nil
	}
	if root != r.builtin {
		k.Entry = e.Path()
	}
	return k, append(c.uses, c.chain...)
}

// find returns the first entry of the chain that writes the value at a dotted path.
func (c *card) find(path string) (e layout.Entry, ok bool) {
	for _, k := range c.chain {
		if e, ok := k.Get(path); ok {
			return e, true
		}
	}
	return layout.Entry{}, false
}

// get is find, or else the format's default for a value of the module, which then counts as an estimate.
func (c *card) get(path string) layout.Entry {
	if e, ok := c.find(path); ok {
		return e
	}
	at, _ := blank().Get("kinds.any")
	keys := strings.Split(path, ".")
	for _, key := range keys {
		at = at.Value(key)
	}
	c.assume(path, fmt.Sprintf("no %s given: %s assumed", keys[len(keys)-1], words(at)))
	return at
}

func (c *card) assume(path, text string) {
	c.r.note("kinds."+c.name+"."+path, "kind "+c.name+": "+text, true)
}

// sourceOf is where a value comes from: as said, a default's own, or an estimate where nothing is said.
func sourceOf(e layout.Entry) scene.Source {
	switch s := e.Source(); {
	case e.Assumed():
		return scene.Assumed
	case s == "":
		return scene.Estimate
	default:
		return scene.Source(s)
	}
}

// value is get for a number with its source.
func (c *card) value(path string) scene.Value {
	e := c.get(path)
	return scene.Value{X: e.Num(), From: sourceOf(e)}
}

func (c *card) time(path string) time.Duration { return seconds(c.get(path).Num()) }

func (c *card) timeSpan(path string) scene.TimeSpan {
	lo, hi := c.get(path).Span()
	return scene.TimeSpan{Lo: seconds(lo), Hi: seconds(hi)}
}

// text returns a text, or a word in its place with the assumption named.
func (c *card) text(path, otherwise, assumed string) string {
	if e, ok := c.find(path); ok {
		return e.Text()
	}
	if assumed != "" {
		c.assume(path, assumed)
	}
	return otherwise
}

// kind fills every gap of the card.
func (c *card) kind() *scene.Kind {
	k := &scene.Kind{
		Name:      c.name,
		Title:     c.text("title", "", ""),
		Serves:    c.text("serves", "", ""),
		Limits:    c.text("limits", "", ""),
		Pair:      c.text("cans", "single", "not said whether pair or single can: single assumed") == "pair",
		CarrierHz: c.value("carrier"),
		Interface: scene.Interface(c.text("interface", string(scene.PulseEcho), "no interface given: pulse echo assumed")),
		Water:     c.text("water", "", ""),
	}
	if k.Pair {
		k.PairSpacingM = c.value("spacing")
	}
	k.SpreadHz = c.spread(k.CarrierHz)
	k.BlindM = c.value("blind")
	k.InsideReads = scene.InsideReads(c.get("blind.inside-reads").Text())
	k.Ranges = c.ranges()
	k.Beam = c.beam()
	k.Threshold = c.threshold()
	k.Timing = c.timing(k.CarrierHz.X)
	k.Supply = c.supply()
	k.PinVolts = c.pinVolts(k.Supply)
	if speed := c.get("assumed-speed"); speed.Text() != "compensated" {
		k.AssumedSpeed = scene.Value{X: speed.Num(), From: sourceOf(speed)}
	}
	if src, ok := c.find("sources"); ok {
		for _, s := range src.List() {
			k.Sources = append(k.Sources, s.Text())
		}
	}
	return k
}

// spreadShare is how far a carrier is taken to lie off where nothing is said: 40 kHz ± 1 kHz is what the
// cards of piezo cans commonly print (common practice, no source).
const spreadShare = 1.0 / 40

func (c *card) spread(carrier scene.Value) scene.Value {
	for _, e := range c.chain {
		if f, ok := e.Get("carrier"); ok {
			if s, ok := f.Spread(); ok {
				return scene.Value{X: s, From: sourceOf(f)}
			}
		}
	}
	v := scene.Value{X: carrier.X * spreadShare, From: scene.Assumed}
	c.assume("carrier.spread", "no spread of the carrier given: ±"+quantity.Format(quantity.Frequency, v.X)+" assumed")
	return v
}

// ranges resolves the ranges of the first entry of the chain that gives any.
func (c *card) ranges() []scene.Range {
	for i, k := range c.chain {
		got, ok := k.Get("range")
		if !ok && k.Faulty("range") {
			return nil
		} else if !ok {
			continue
		}
		var out []scene.Range
		for _, it := range got.List() {
			if rg, ok := c.rangeOf(it, c.roots[i]); ok {
				out = append(out, rg)
			}
		}
		return out
	}
	if c.cut {
		return nil
	}
	c.r.wrong(c.chain[0], "add what its card says, such as range: {value: 4 m, against: wall}, or say which kind it is like",
		"kind %s has no range, so how well it hears is not known", quote(c.name))
	return nil
}

func (c *card) rangeOf(e, root layout.Entry) (scene.Range, bool) {
	against := e.Value("against")
	t := c.r.use(c.r.lookUp(root, against, orElse(against, e)))
	if t == nil {
		return scene.Range{}, false
	}
	c.uses = append(c.uses, t.e)
	if against.Assumed() {
		c.assume("range.against", "not said against what the range holds: "+against.Text()+" assumed")
	}
	ended := e.Value("ended-by")
	if ended.Assumed() {
		c.assume("range.ended-by", "not said what ended the range: "+ended.Text()+" assumed")
	}
	return scene.Range{
		M:            scene.Value{X: e.Num(), From: sourceOf(e)},
		Against:      t.Target,
		EndedBy:      scene.EndedBy(ended.Text()),
		TemperatureC: e.Value("temperature").Num(),
		HumidityPct:  e.Value("humidity").Num(),
		PressurePa:   e.Value("pressure").Num(),
	}, true
}

// orElse returns e where it has a place in the file, else the entry it belongs to.
func orElse(e, owner layout.Entry) layout.Entry {
	if e.Exists() && !e.Assumed() {
		return e
	}
	return owner
}

func (c *card) beam() scene.Beam {
	across := c.get("beam.horizontal")
	b := scene.Beam{
		Across:       angle(across.Num()),
		AcrossFrom:   sourceOf(across),
		NeverBelowDB: c.value("beam.never-below"),
	}
	if up, ok := c.find("beam.vertical"); ok {
		b.Upright, b.UprightFrom = angle(up.Num()), sourceOf(up)
	} else {
		b.Upright, b.UprightFrom = b.Across, scene.Assumed
		c.assume("beam.vertical", "no vertical width of the beam given: as the horizontal one")
	}
	meaning := c.get("beam.meaning")
	b.Meaning = scene.BeamMeaning{LevelDB: meaning.Num(), TwoWay: meaning.Word() != "one way"}
	c.beamTable(&b)
	return b
}

// beamTable adds what was measured on the bench.
func (c *card) beamTable(b *scene.Beam) {
	for i, k := range c.chain {
		table, ok := k.Get("beam.table")
		if !ok {
			continue
		}
		c.bench(b, table)
		against, _ := k.Get("beam.against")
		if t := c.r.use(c.r.lookUp(c.roots[i], against, against)); t != nil {
			b.TableAgainst = t.Target
			c.uses = append(c.uses, t.e)
		}
		return
	}
}

// bench reads the points of a bench table: each direction once, and the axis, heard, among them, since
// every other direction is held against it.
func (c *card) bench(b *scene.Beam, table layout.Entry) {
	const axisRight = "add the range straight ahead, such as [0 deg, 0 deg, 2.2 m]"
	type direction struct{ bearing, elevation float64 }
	seen := map[direction]bool{}
	for _, row := range table.List() {
		v := row.Row()
		at := direction{v[0], v[1]}
		switch {
		case v[2] < 0:
			c.r.wrong(row, "write 0 m where nothing was heard", "kind %s: a range of %s is below zero", quote(c.name), length(v[2]))
		case seen[at]:
			c.r.wrong(row, "keep one range for each direction", "kind %s: the beam table has bearing %s, elevation %s twice", quote(c.name),
				quantity.Format(quantity.Angle, v[0]), quantity.Format(quantity.Angle, v[1]))
		case at == direction{} && v[2] == 0:
			c.r.wrong(row, axisRight, "kind %s: the beam table hears nothing on the axis", quote(c.name))
		}
		seen[at] = true
		b.Table = append(b.Table, scene.BeamPoint{Bearing: angle(v[0]), Elevation: angle(v[1]), RangeM: v[2]})
	}
	if !seen[direction{}] && !table.Short() {
		c.r.wrong(table, axisRight, "kind %s: the beam table has no point on the axis (bearing 0, elevation 0)", quote(c.name))
	}
}

func (c *card) threshold() []scene.ThresholdPoint {
	e, ok := c.find("threshold.over-time")
	if !ok {
		return nil
	}
	var out []scene.ThresholdPoint
	for _, row := range e.List() {
		v := row.Row()
		out = append(out, scene.ThresholdPoint{At: seconds(v[0]), DB: v[1]})
	}
	return out
}

func (c *card) timing(carrierHz float64) scene.Timing {
	burst := c.get("timing.burst")
	t := scene.Timing{
		By:             scene.Timer(c.get("timing.by").Text()),
		TriggerToBurst: c.timeSpan("timing.trigger-to-burst"),
		Burst:          seconds(burst.Num()),
		BurstFrom:      sourceOf(burst),
		BusyFrom:       scene.Assumed,
		Rest:           c.time("timing.rest"),
		PowerUp:        c.time("timing.power-up"),
		WindowSettable: c.get("timing.window-settable").Bool(),
	}
	if burst.Unit() == quantity.Cycles {
		t.Burst = seconds(math.Round(burst.Num()) / carrierHz)
	}
	if e, ok := c.find("timing.busy-without-echo"); ok {
		t.BusyWithoutEcho, t.BusyFrom = seconds(e.Num()), sourceOf(e)
	} else {
		c.assume("timing.busy-without-echo", "not said how long its line is busy when nothing answers: as long as it listens")
	}
	if e, ok := c.find("timing.answer-after"); ok {
		t.AnswerAfter = seconds(e.Num())
	}
	if e, ok := c.find("timing.transfer"); ok {
		t.Transfer = seconds(e.Num())
	}
	if e, ok := c.find("timing.own-period"); ok {
		lo, hi := e.Span()
		t.OwnPeriod = scene.TimeSpan{Lo: seconds(lo), Hi: seconds(hi)}
	}
	return t
}

func (c *card) supply() scene.Supply {
	s := scene.Supply{
		NominalV: c.value("supply.nominal"),
		AverageA: c.known("supply.average"),
		PeakA:    c.known("supply.peak"),
	}
	if e, ok := c.find("supply.peak-lasts"); ok {
		s.PeakLasts = seconds(e.Num())
	}
	s.VoltsV = scene.Span{Lo: s.NominalV.X, Hi: s.NominalV.X}
	if e, ok := c.find("supply.volts"); ok {
		s.VoltsV = span(e)
	} else {
		c.assume("supply.volts", "no span of its supply given: always "+quantity.Format(quantity.Voltage, s.NominalV.X)+" assumed")
	}
	return s
}

// known is a value with its source, or nothing where the card does not give it.
func (c *card) known(path string) scene.Value {
	e, ok := c.find(path)
	if !ok {
		return scene.Value{From: scene.Assumed}
	}
	return scene.Value{X: e.Num(), From: sourceOf(e)}
}

// pinVolts is the level of its pins, as its supply where the card does not say.
func (c *card) pinVolts(s scene.Supply) scene.Value {
	if e, ok := c.find("pin-level"); ok {
		return scene.Value{X: e.Num(), From: sourceOf(e)}
	}
	return scene.Value{X: s.NominalV.X, From: scene.Assumed}
}
