// Package draw paints a canvas.Frame with Ebitengine. In: a frame in window points, a scale, light or dark.
// Out: pixels.
//
//	canvas.Frame ─► meshes (pure arithmetic) ─► one call for each run of shapes ─► image
//
// Every fill, stroke, dash and hatch becomes triangles whose corners carry how far they are from the middle of
// what they paint; a shader of one line turns that into the share of the pixel covered. So edges are smooth
// without an off-screen copy for each call, shapes keep their order, and translucent beams laid over each other
// darken by count. All below the Painter is in pixels, y down.
package draw
