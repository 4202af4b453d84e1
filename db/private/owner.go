package private

import (
	"errors"
	"os"
	"os/exec"
	"os/user"
	"strconv"
	"syscall"
)

// Owner is the account that PostgreSQL runs as: our own, or, as PostgreSQL
// refuses to run as root, an unprivileged one where we are root.
type Owner struct {
	credential *syscall.Credential // nil: our own
}

// FindOwner returns the account to run PostgreSQL as.
func FindOwner() (Owner, error) {
	if os.Geteuid() != 0 {
		return Owner{}, nil
	}
	for _, name := range []string{"postgres", "nobody"} {
		u, err := user.Lookup(name)
		if err != nil {
			continue
		}
		uid, err1 := strconv.ParseUint(u.Uid, 10, 32)
		gid, err2 := strconv.ParseUint(u.Gid, 10, 32)
		if err1 == nil && err2 == nil && uid != 0 {
			return Owner{&syscall.Credential{Uid: uint32(uid), Gid: uint32(gid)}}, nil
		}
	}
	return Owner{}, errors.New("PostgreSQL does not run as root, and there is neither a user postgres nor a user nobody to run it as")
}

// String is the account's name, or its number where it has none.
func (o Owner) String() string {
	id := strconv.FormatUint(uint64(o.uid()), 10)
	if u, err := user.LookupId(id); err == nil {
		return u.Username
	}
	return id
}

func (o Owner) uid() uint32 {
	if o.credential == nil {
		return uint32(os.Geteuid())
	}
	return o.credential.Uid
}

// Own gives a file or folder to the account.
func (o Owner) Own(path string) error {
	if o.credential == nil {
		return nil
	}
	return os.Lchown(path, int(o.credential.Uid), int(o.credential.Gid))
}

// Command prepares a program to run as the account, in dir, and in a session of
// its own so that a Ctrl-C at our terminal does not reach it.
func (o Owner) Command(dir, program string, args ...string) *exec.Cmd {
	cmd := exec.Command(program, args...)
	cmd.Dir = dir
	cmd.SysProcAttr = &syscall.SysProcAttr{Setsid: true, Credential: o.credential}
	return cmd
}
