//go:build !linux && !js

package devices

import (
	"errors"
	"testing"
)

func tinyDisk(*testing.T, string) error { return errors.New("no small disk on this system") }
