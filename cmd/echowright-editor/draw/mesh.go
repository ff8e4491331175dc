package draw

import (
	"image"

	"github.com/hajimehoshi/ebiten/v2"
)

// colour is premultiplied, 0 to 1.
type colour struct{ r, g, b, a float32 }

// times is the colour let through by a share.
func (c colour) times(k float32) colour { return colour{c.r * k, c.g * k, c.b * k, c.a * k} }

// mesh is triangles for the shader: Custom0 is how far a corner is from the middle of what is painted, Custom1
// at what distance from it nothing is left. In a glyph Custom2 is 1, and what is left is in the atlas at the source.
type mesh struct {
	vertices []ebiten.Vertex
	indices  []uint32
}

func (m *mesh) corner(p point, c colour, off, reach float64) uint32 {
	m.vertices = append(m.vertices, ebiten.Vertex{
		DstX: float32(p.x), DstY: float32(p.y),
		ColorR: c.r, ColorG: c.g, ColorB: c.b, ColorA: c.a,
		Custom0: float32(off), Custom1: float32(reach),
	})
	return uint32(len(m.vertices) - 1)
}

// letter is the corner of a glyph, from the atlas.
func (m *mesh) letter(to, from image.Point, c colour) uint32 {
	m.vertices = append(m.vertices, ebiten.Vertex{
		DstX: float32(to.X), DstY: float32(to.Y), SrcX: float32(from.X), SrcY: float32(from.Y),
		ColorR: c.r, ColorG: c.g, ColorB: c.b, ColorA: c.a, Custom2: 1,
	})
	return uint32(len(m.vertices) - 1)
}

func (m *mesh) triangle(a, b, c uint32) { m.indices = append(m.indices, a, b, c) }

func (m *mesh) quad(a, b, c, d uint32) { m.indices = append(m.indices, a, b, c, a, c, d) }

// add appends the triangles of another mesh.
func (m *mesh) add(o *mesh) {
	base := uint32(len(m.vertices))
	m.vertices = append(m.vertices, o.vertices...)
	for _, i := range o.indices {
		m.indices = append(m.indices, base+i)
	}
}

func (m *mesh) reset() { m.vertices, m.indices = m.vertices[:0], m.indices[:0] }

// program gives each pixel the share of the colour that is covered.
const program = `//kage:unit pixels
package main

func Fragment(dst vec4, src vec2, tone vec4, edge vec4) vec4 {
	if edge.z > 0.5 {
		return tone * imageSrc0UnsafeAt(src).a
	}
	return tone * clamp(edge.y-abs(edge.x), 0, 1)
}
`
