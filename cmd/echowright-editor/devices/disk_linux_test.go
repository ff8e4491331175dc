package devices

import (
	"syscall"
	"testing"
)

// tinyDisk puts a disk of 64 KiB at a folder.
func tinyDisk(t *testing.T, dir string) error {
	if err := syscall.Mount("tmpfs", dir, "tmpfs", 0, "size=64k"); err != nil {
		return err
	}
	t.Cleanup(func() { _ = syscall.Unmount(dir, 0) })
	return nil
}
