// Package layouts holds the sample layouts, embedded: whole machines in the layout format (FORMAT.md beside
// this file), each with its story in the comment at its head. `echowright new` starts from them.
package layouts

import "embed"

// FS holds the sample layouts, one file of YAML each, at its root.
//
//go:embed *.yaml
var FS embed.FS
