package bench

import (
	"bufio"
	"bytes"
	"context"
	"errors"
	"fmt"
	"io"
	"net/http"
	"os"
	"os/exec"
	"regexp"
	"strconv"
	"time"
)

// sizeOf is the size of the program.
func sizeOf(program string) (Figure, error) {
	info, err := os.Stat(program)
	if err != nil {
		return Figure{}, fmt.Errorf("find the program: %w", err)
	}
	f := Figure{Name: Binary, Value: float64(info.Size()) / 1e6, Unit: "MB"}
	f.atMost(50)
	return f, nil
}

var answersAt = regexp.MustCompile(`answers at (http://\S+)`)

// measureProcess starts the program on the measured database, as a shop starts
// it in the morning, and lets it rest.
func (m *measuring) measureProcess(ctx context.Context) error {
	ctx, stop := context.WithTimeout(ctx, time.Minute)
	defer stop()
	program := m.options.Program
	args := append(program[1:len(program):len(program)], "serve", "--database", m.place.DSN, "--listen", "127.0.0.1:0", "--keys", m.keyFolder())
	command := exec.CommandContext(ctx, program[0], args...)
	command.Cancel = func() error { return command.Process.Signal(os.Interrupt) }
	command.WaitDelay = 10 * time.Second
	var said bytes.Buffer
	command.Stderr = &said
	out, err := command.StdoutPipe()
	if err != nil {
		return err
	}
	began := time.Now()
	if err := command.Start(); err != nil {
		return fmt.Errorf("start the program: %w", err)
	}
	defer func() {
		stop()
		command.Wait() // It was told to end, and says so.
	}()
	address, err := addressOf(out)
	if err == nil {
		err = answered(ctx, address)
	}
	if err != nil {
		return fmt.Errorf("start the program: %w\n%s", err, said.String())
	}
	took := time.Since(began)
	go io.Copy(io.Discard, out)
	f := Figure{Name: Start, Value: took.Seconds(), Unit: "s"}
	f.atMost(1)
	m.add(f)
	select {
	case <-time.After(m.options.Rest):
	case <-ctx.Done():
		return ctx.Err()
	}
	resident, err := residentOf(command.Process.Pid)
	if errors.Is(err, os.ErrNotExist) {
		return nil // This system tells it in another way: the figure is left out.
	}
	if err != nil {
		return err
	}
	f = Figure{Name: Idle, Value: resident / 1e6, Unit: "MB"}
	f.atMost(80)
	m.add(f)
	return nil
}

func addressOf(out io.Reader) (string, error) {
	lines := bufio.NewScanner(out)
	for lines.Scan() {
		if m := answersAt.FindSubmatch(lines.Bytes()); m != nil {
			return string(m[1]), nil
		}
	}
	return "", errors.New("it ended before it answered")
}

// answered asks for a page that anybody may see, and waits for the answer.
func answered(ctx context.Context, address string) error {
	r, err := http.NewRequestWithContext(ctx, http.MethodGet, address+"/", nil)
	if err != nil {
		return err
	}
	answer, err := http.DefaultClient.Do(r)
	if err != nil {
		return err
	}
	defer answer.Body.Close()
	if answer.StatusCode >= http.StatusInternalServerError {
		return fmt.Errorf("it answered %d", answer.StatusCode)
	}
	_, err = io.Copy(io.Discard, answer.Body)
	return err
}

var residentLine = regexp.MustCompile(`(?m)^VmRSS:\s+(\d+) kB`)

// residentOf is the memory of a process that lies in the machine's own, in
// bytes; os.ErrNotExist where the system has no such file.
func residentOf(pid int) (float64, error) {
	raw, err := os.ReadFile(fmt.Sprintf("/proc/%d/status", pid))
	if err != nil {
		return 0, err
	}
	m := residentLine.FindSubmatch(raw)
	if m == nil {
		return 0, errors.New("no resident memory among the facts of a process")
	}
	kilobytes, err := strconv.ParseFloat(string(m[1]), 64)
	return kilobytes * 1024, err
}
