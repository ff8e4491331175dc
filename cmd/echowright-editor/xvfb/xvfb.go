// Package xvfb gives tests a screen of their own: an X server without a monitor on a free display, and Ebitengine's
// loop to paint in. In: nothing. Out: a display's name; or why there is none, for the tests to be skipped.
package xvfb

import (
	"bufio"
	"errors"
	"fmt"
	"os"
	"os/exec"
	"strings"
	"time"
)

// Server is a running X server.
type Server struct {
	Display string
	command *exec.Cmd
}

// patience is how long a server may take to start.
const patience = 15 * time.Second

// Start starts Xvfb from PATH on a display it chooses itself.
func Start() (*Server, error) {
	path, err := exec.LookPath("Xvfb")
	if err != nil {
		return nil, errors.New("no X server: Xvfb is not on PATH (Debian: apt-get install xvfb libgl1-mesa-dri)")
	}
	r, w, err := os.Pipe()
	if err != nil {
		return nil, err
	}
	defer r.Close()
	c := exec.Command(path, "-displayfd", "3", "-screen", "0", "2600x1700x24", "+extension", "GLX", "+extension", "RANDR", "-nolisten", "tcp", "-noreset")
	c.ExtraFiles = []*os.File{w}
	err = c.Start()
	w.Close()
	if err != nil {
		return nil, fmt.Errorf("no X server: %w", err)
	}
	s := &Server{command: c}
	if err := r.SetReadDeadline(time.Now().Add(patience)); err != nil {
		s.Stop()
		return nil, err
	}
	line, err := bufio.NewReader(r).ReadString('\n')
	if err != nil {
		s.Stop()
		return nil, fmt.Errorf("no X server: Xvfb does not start: %w", err)
	}
	s.Display = ":" + strings.TrimSpace(line)
	return s, nil
}

// Stop ends the server.
func (s *Server) Stop() {
	_ = s.command.Process.Kill()
	_ = s.command.Wait()
}
