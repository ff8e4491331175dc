//go:build !windows && !js

package devices

import "os/exec"

// hide is needed on Windows only.
func hide(*exec.Cmd) {}
