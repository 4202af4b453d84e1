package dbtest

import (
	"fmt"
	"os"
	"path/filepath"
	"strconv"
	"strings"
	"testing"
	"time"
)

// limitPeriod is the kernel's own.
const limitPeriod = 100 * time.Millisecond

// cgroups is where Linux has its control groups, as cgroups(7) says.
const cgroups = "/sys/fs/cgroup"

// Limit lets all processes of the server together use so much of one processor and
// no more, until the test ends, and before anything else that the machine does; the
// test is skipped where we may not say so. With it several servers on one machine are
// like machines of their own, each as fast.
func (s *ClusterServer) Limit(share float64) {
	t := s.of.t
	t.Helper()
	group := limitedGroup(t, fmt.Sprintf("standin-%d-%d", os.Getpid(), s.port), share)
	t.Cleanup(func() {
		s.Kill() // a group that holds a process cannot be removed
		for range 500 {
			if os.Remove(group) == nil {
				return
			}
			time.Sleep(10 * time.Millisecond)
		}
		t.Errorf("the control group %s is still there", group)
	})
	postmaster, children, err := s.processes()
	if err != nil {
		t.Fatal(err)
	}
	// The postmaster first: what it starts from then on is in the group.
	for i, pid := range append([]int{postmaster}, children...) {
		err := os.WriteFile(filepath.Join(group, "cgroup.procs"), []byte(strconv.Itoa(pid)), 0)
		if err != nil && i == 0 {
			t.Fatal(err) // a child may have ended meanwhile
		}
	}
}

// limitedGroup makes a control group, of version 2 or else 1.
func limitedGroup(t testing.TB, name string, share float64) string {
	t.Helper()
	period := limitPeriod.Microseconds()
	quota := int64(share * float64(period))
	var reasons []string
	for _, version := range []struct {
		under string
		files [][2]string
	}{
		{cgroups, [][2]string{{"cpu.max", fmt.Sprintf("%d %d", quota, period)}, {"cpu.weight", "10000"}}},
		{filepath.Join(cgroups, "cpu"), [][2]string{{"cpu.cfs_period_us", fmt.Sprint(period)}, {"cpu.cfs_quota_us", fmt.Sprint(quota)}, {"cpu.shares", "262144"}}},
	} {
		group := filepath.Join(version.under, name)
		err := os.Mkdir(group, 0o755)
		if err == nil {
			if err = setAll(group, version.files); err == nil {
				return group
			}
			_ = os.Remove(group) // it was of no use
		}
		reasons = append(reasons, err.Error())
	}
	t.Skip("processes cannot be limited here: " + strings.Join(reasons, "; "))
	return ""
}

func setAll(group string, files [][2]string) error {
	for _, file := range files {
		f, err := os.OpenFile(filepath.Join(group, file[0]), os.O_WRONLY, 0) // never made: it is the kernel's or not there
		if err != nil {
			return err
		}
		_, err = f.WriteString(file[1])
		if closed := f.Close(); err == nil {
			err = closed
		}
		if err != nil {
			return err
		}
	}
	return nil
}
