//go:build unix

package annotate

import (
	"os/exec"
	"syscall"
)

// isolate puts the child into a process group of its own, and ends the whole group when the context of cmd ends.
func isolate(cmd *exec.Cmd) {
	cmd.SysProcAttr = &syscall.SysProcAttr{Setpgid: true}
	cmd.Cancel = func() error { return syscall.Kill(-cmd.Process.Pid, syscall.SIGKILL) }
}
