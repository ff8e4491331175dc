// Command echowright plans arrays of ultrasonic ranging sensors: one layout in, what it sees, what it
// misses and why, who disturbs whom and how fast it can fire out.
package main

import (
	"context"
	"os"
	"os/signal"
	"syscall"
)

func main() {
	ctx, stop := signal.NotifyContext(context.Background(), os.Interrupt, syscall.SIGTERM)
	defer stop()
	context.AfterFunc(ctx, stop) // a second interrupt ends the program at once
	os.Exit(run(ctx, os.Args[1:], streams{in: os.Stdin, out: os.Stdout, err: os.Stderr, terminal: isTerminal(os.Stdout), watched: isTerminal(os.Stderr)}))
}

// isTerminal reports whether f is a character device that is not the null device.
func isTerminal(f *os.File) bool {
	st, err := f.Stat()
	if err != nil || st.Mode()&os.ModeCharDevice == 0 {
		return false
	}
	null, err := os.Stat(os.DevNull)
	return err != nil || !os.SameFile(st, null)
}
