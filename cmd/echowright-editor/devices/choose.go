//go:build !js

package devices

import (
	"errors"
	"os"
	"os/exec"
	"path/filepath"
	"runtime"
	"strings"
)

// dialog is what the user is to choose.
type dialog struct {
	kind     dialogKind
	proposal string // of a name to save under
}

type dialogKind int

const (
	openFile dialogKind = iota
	saveFile
)

var (
	errNothingChosen = errors.New("nothing chosen")
	errNoChooser     = errors.New("no file chooser")
)

// program is another program's call that shows a dialog and prints what was chosen.
type program struct {
	words []string
	env   []string
}

// programs are the calls that show a dialog on a system, the best first. Names go in as words of the call or in
// the environment, never as part of a script.
func programs(goos string, d dialog) []program {
	switch goos {
	case "windows":
		script := map[dialogKind]string{
			openFile: `$d = New-Object Windows.Forms.OpenFileDialog; $d.Filter = $env:EW_FILTER; $o = { $d.FileName }`,
			saveFile: `$d = New-Object Windows.Forms.SaveFileDialog; $d.Filter = $env:EW_FILTER; $d.InitialDirectory = $env:EW_FOLDER; $d.FileName = $env:EW_NAME; $o = { $d.FileName }`,
		}[d.kind]
		script = `[Console]::OutputEncoding = [Text.Encoding]::UTF8; Add-Type -AssemblyName System.Windows.Forms; ` + script + `; if ($d.ShowDialog() -eq 'OK') { & $o } else { exit 1 }`
		return []program{{[]string{"powershell", "-NoProfile", "-STA", "-Command", script}, []string{
			"EW_FILTER=Layouts, pictures|*.yaml;*.yml;*.png;*.jpg;*.jpeg;*.dxf;*.svg|All files|*.*", "EW_FOLDER=" + filepath.Dir(d.proposal), "EW_NAME=" + filepath.Base(d.proposal),
		}}}
	case "darwin":
		script := map[dialogKind]string{
			openFile: `POSIX path of (choose file)`,
			saveFile: `POSIX path of (choose file name default name (system attribute "EW_NAME"))`,
		}[d.kind]
		return []program{{[]string{"osascript", "-e", script}, []string{"EW_NAME=" + filepath.Base(d.proposal)}}}
	}
	zenity := []string{"zenity", "--file-selection"}
	kdialog := []string{"kdialog", "--getopenfilename", "."}
	if d.kind == saveFile {
		zenity = append(zenity, "--save", "--confirm-overwrite", "--filename="+d.proposal)
		kdialog = []string{"kdialog", "--getsavefilename", d.proposal}
	}
	return []program{{words: zenity}, {words: kdialog}}
}

// ask shows a dialog of the system and waits for the user.
func ask(d dialog) (string, error) {
	for _, p := range programs(runtime.GOOS, d) {
		path, err := exec.LookPath(p.words[0])
		if err != nil {
			continue
		}
		c := exec.Command(path, p.words[1:]...)
		c.Env = append(os.Environ(), p.env...)
		hide(c)
		out, err := c.Output()
		return answer(out, err)
	}
	return "", errNoChooser
}

// answer reads what a dialog printed: a name and a line end. Status 1 is the user's no; any other failure is a
// dialog that could not be shown.
func answer(out []byte, err error) (string, error) {
	var exit *exec.ExitError
	if errors.As(err, &exit) && exit.ExitCode() == 1 {
		return "", errNothingChosen
	}
	if err != nil {
		return "", errNoChooser
	}
	name := strings.TrimRight(string(out), "\r\n")
	if name == "" {
		return "", errNothingChosen
	}
	return name, nil
}
