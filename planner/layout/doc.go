// Package layout reads layout documents: YAML text in, a tree of checked values with their places
// out, and every fault of the file in one list of messages.
//
// One table ([Table]) states the format: where a key may stand, how its value is written, its unit,
// bounds and default, a sentence on its meaning, a good and a bad example. The checks, the JSON Schema
// ([Schema]) and the page about the format ([FormatPage]) are all made from it.
//
// [Document.Change] edits a document, faulty or half written as it may be, and leaves every byte it does not name.
//
// Text is YAML 1.2 (yaml.org/spec/1.2.2) without explicit tags, merge keys and second documents.
// Geometry and references between entries are left to planner/resolve, which reads the tree:
//
//	layout text ──► layout.Parse ──► Document ──► planner/resolve ──► scene
package layout
