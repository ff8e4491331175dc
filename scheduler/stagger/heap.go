package stagger

// heap gives the variable that was in most clashes of late.
type heap struct {
	e  *engine
	vs []int32
	at []int32 // place of each variable, plus 1; 0: not in it
}

func (h *heap) before(a, b int32) bool {
	x, y := h.e.activity[a], h.e.activity[b]
	return x > y || x == y && a < b
}

func (h *heap) add(v int32) {
	for int(v) >= len(h.at) {
		h.at = append(h.at, 0)
	}
	if h.at[v] == 0 {
		h.vs = append(h.vs, v)
		h.at[v] = int32(len(h.vs))
		h.up(v)
	}
}

func (h *heap) up(v int32) {
	i := int(h.at[v]) - 1
	if i < 0 {
		return
	}
	for i > 0 {
		p := (i - 1) / 2
		if !h.before(v, h.vs[p]) {
			break
		}
		h.put(i, h.vs[p])
		i = p
	}
	h.put(i, v)
}

func (h *heap) put(i int, v int32) {
	h.vs[i] = v
	h.at[v] = int32(i) + 1
}

func (h *heap) pop() int32 {
	top := h.vs[0]
	last := h.vs[len(h.vs)-1]
	h.vs = h.vs[:len(h.vs)-1]
	h.at[top] = 0
	if len(h.vs) == 0 {
		return top
	}
	i := 0
	for {
		c := 2*i + 1
		if c >= len(h.vs) {
			break
		}
		if c+1 < len(h.vs) && h.before(h.vs[c+1], h.vs[c]) {
			c++
		}
		if !h.before(h.vs[c], last) {
			break
		}
		h.put(i, h.vs[c])
		i = c
	}
	h.put(i, last)
	return top
}
