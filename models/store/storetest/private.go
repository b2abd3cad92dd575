package storetest

import (
	"errors"
	"fmt"
	"os"
	"os/exec"
	"os/user"
	"path/filepath"
	"slices"
	"strconv"
	"strings"
)

// startServer starts a PostgreSQL server for this process alone: in a folder
// of its own, on a socket; what is committed reaches the disk only when it is
// to be durable. The server refuses to run as root, so it then runs as the
// user postgres.
func startServer(durable bool) (admin string, stop func(), err error) {
	own, err := startOwn(durable)
	if err != nil {
		return "", nil, err
	}
	return own.admin, own.end, nil
}

func startOwn(durable bool) (*Own, error) {
	bin, err := programs()
	if err != nil {
		return nil, err
	}
	folder, err := os.MkdirTemp("/tmp", "tw.") // short: a socket's path may have 107 bytes
	if err != nil {
		return nil, err
	}
	fail := func(doing string, err error) (*Own, error) {
		os.RemoveAll(folder)
		return nil, fmt.Errorf("%s: %w", doing, err)
	}
	var as []string
	if os.Getuid() == 0 {
		if err := giveToPostgres(folder); err != nil {
			return fail("hand the folder to the user postgres", err)
		}
		as = []string{"runuser", "-u", "postgres", "--"}
	}
	run := func(program string, args ...string) error {
		line := slices.Concat(as, []string{filepath.Join(bin, program)}, args)
		command := exec.Command(line[0], line[1:]...)
		command.Dir = folder
		if program == "pg_ctl" {
			// The server keeps what it inherits; a pipe would never end.
			return command.Run()
		}
		out, err := command.CombinedOutput()
		if err != nil {
			return fmt.Errorf("%w: %s", err, strings.TrimSpace(string(out)))
		}
		return nil
	}
	data := filepath.Join(folder, "data")
	if err := run("initdb", "-D", data, "-U", "postgres", "-A", "trust", "-E", "UTF8", "--locale=C"); err != nil {
		return fail("initdb", err)
	}
	options := fmt.Sprintf("-c listen_addresses='' -c unix_socket_directories='%s' -c fsync=%s -c max_connections=300", folder, onOff(durable))
	own := &Own{admin: "host=" + folder + " user=postgres dbname=postgres", folder: folder, run: run,
		start: []string{"-D", data, "-w", "-l", filepath.Join(folder, "log"), "-o", options, "start"}}
	if err := run("pg_ctl", own.start...); err != nil {
		return fail("pg_ctl start", err)
	}
	return own, nil
}

func onOff(b bool) string {
	if b {
		return "on"
	}
	return "off"
}

// programs finds the folder of the server's programs.
func programs() (string, error) {
	folders, err := filepath.Glob("/usr/lib/postgresql/*/bin")
	if err != nil {
		return "", err
	}
	slices.Reverse(folders)
	if out, err := exec.Command("pg_config", "--bindir").Output(); err == nil {
		folders = append(folders, strings.TrimSpace(string(out)))
	}
	for _, f := range folders {
		if _, err := os.Stat(filepath.Join(f, "initdb")); err == nil {
			return f, nil
		}
	}
	return "", errors.New("the server's programs (initdb, pg_ctl) are not on this machine and TRACEWRIGHT_TEST_POSTGRES is not set")
}

func giveToPostgres(folder string) error {
	u, err := user.Lookup("postgres")
	if err != nil {
		return err
	}
	uid, errUID := strconv.Atoi(u.Uid)
	gid, errGID := strconv.Atoi(u.Gid)
	if err := errors.Join(errUID, errGID); err != nil {
		return err
	}
	return os.Chown(folder, uid, gid)
}
