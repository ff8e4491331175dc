// Package assets holds what ships inside the binary beside the code: the generic kinds of module with the
// targets their ranges are stated against. What comes out is the file's bytes in the layout format
// (layouts/FORMAT.md); planner/layout parses them and planner/resolve binds them.
package assets

import _ "embed"

//go:embed kinds.yaml
var kinds []byte

// KindsFile is the name to show in messages about the built-in kinds.
const KindsFile = "assets/kinds.yaml"

// Kinds returns the built-in kinds of module and targets, a layout file without a body. The caller owns the copy.
func Kinds() []byte { return append([]byte(nil), kinds...) }
