// Command echowright-editor is the editor's window: the drawing of an array of ultrasonic ranging sensors, edited by
// hand while what it sees is reckoned beside it. The same code runs in a browser.
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
	os.Exit(run(ctx, os.Args[1:], streams{out: os.Stdout, err: os.Stderr, program: newProgram}))
}
