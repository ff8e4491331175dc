package bound

import "context"

// Meter counts the nodes of a search and ends it: when the context is done, looked at every
// lookEvery nodes, or when a limit of nodes is used up.
type Meter struct {
	ctx   context.Context
	limit int64 // 0: none
	Nodes int64
	Poll  func(nodes int64) // called every pollEvery nodes; may be nil
	ended bool
}

const (
	lookEvery = 32 // a node of a thousand jobs takes a millisecond
	pollEvery = 1024
)

// NewMeter returns a meter; limit 0 means no limit.
func NewMeter(ctx context.Context, limit int64) *Meter {
	return &Meter{ctx: ctx, limit: limit, ended: ctx.Err() != nil}
}

// Tick counts a node and tells whether the search may go on.
func (m *Meter) Tick() bool {
	m.Nodes++
	if m.limit > 0 && m.Nodes > m.limit {
		m.ended = true
	}
	if m.Nodes%lookEvery == 0 {
		m.Look()
	}
	if m.Nodes%pollEvery == 0 && m.Poll != nil {
		m.Poll(m.Nodes)
	}
	return !m.ended
}

// Look looks at the context at once, for steps that take far longer than a node, and tells whether
// the search may go on.
func (m *Meter) Look() bool {
	m.ended = m.ended || m.ctx.Err() != nil
	return !m.ended
}

// Ended tells whether the whole search is over.
func (m *Meter) Ended() bool { return m.ended }

// Part is a share of at most n nodes of the meter's work: it ends by itself or with the whole.
type Part struct {
	m          *Meter
	left, used int64
}

// Part returns a share of n nodes.
func (m *Meter) Part(n int64) *Part { return &Part{m: m, left: n} }

// Tick counts a node and tells whether this part of the search may go on.
func (p *Part) Tick() bool {
	p.left--
	p.used++
	return p.m.Tick() && p.left >= 0
}

// Look looks at the context at once and tells whether this part of the search may go on.
func (p *Part) Look() bool { return p.m.Look() && !p.Ended() }

// Use counts what another part has used as used of this one too.
func (p *Part) Use(o *Part) { p.left -= o.used }

// Ended tells whether the part is over.
func (p *Part) Ended() bool { return p.left < 0 || p.m.ended }

// Apart returns a meter of its own for at most n nodes that ends with the same context.
func (m *Meter) Apart(n int64) *Meter { return NewMeter(m.ctx, max(n, 1)) }

// Spend counts nodes used by a meter apart.
func (m *Meter) Spend(n int64) {
	m.Nodes += n
	m.ended = m.ended || m.limit > 0 && m.Nodes > m.limit
}

// Left is how many nodes may still be used, at most n.
func (m *Meter) Left(n int64) int64 {
	if m.limit > 0 {
		n = min(n, m.limit-m.Nodes)
	}
	return max(n, 0)
}
