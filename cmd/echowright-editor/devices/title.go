//go:build !js

package devices

import "github.com/hajimehoshi/ebiten/v2"

// Title writes over the window what it shows.
func Title(s string) { ebiten.SetWindowTitle(s) }
