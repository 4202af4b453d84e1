package dbtest

import (
	"io"
	"os/exec"
	"syscall"
)

// watched are the inputs of those who wait for the end of this test binary;
// held so that they stay open until then.
var watched []io.Closer

// whenWeEnd starts a command that waits for the end of its input, which comes
// when this test binary ends, however it does: returning, panicking, killed.
// Nothing of Go runs then, so that another process has to clean up.
func whenWeEnd(cmd *exec.Cmd) error {
	input, err := cmd.StdinPipe()
	if err != nil {
		return err
	}
	if cmd.SysProcAttr == nil {
		cmd.SysProcAttr = &syscall.SysProcAttr{}
	}
	cmd.SysProcAttr.Setsid = true // a Ctrl-C at the terminal is not for it
	watched = append(watched, input)
	return cmd.Start()
}
