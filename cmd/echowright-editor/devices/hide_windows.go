package devices

import (
	"os/exec"
	"syscall"
)

// hide keeps the black window of a console program from showing.
func hide(c *exec.Cmd) { c.SysProcAttr = &syscall.SysProcAttr{HideWindow: true} }
