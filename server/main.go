// Tracewright is a quality and traceability log for workshops that build
// spoked hub-motor wheels, battery packs and conversion kits.
//
// This package holds one file per command; what they start lies in server/app
// and below.
package main

import (
	"context"
	"errors"
	"fmt"
	"io"
	"os"
	"os/signal"
	"syscall"

	"github.com/alecthomas/kong"

	"tracewright/models"
	"tracewright/models/words"
)

const description = `A quality and traceability log for workshops that lace hub motors into wheels, assemble battery packs and ship both.

  Try it      tracewright demo
  For real    tracewright serve --database sqlite:shop.db
  One figure  echo '{"shoulder_distance_A": 12.4, "shoulder_distance_B": 11.2}' | tracewright calc dish

Each flag may also be set by the variable shown beside it.`

// commands is the whole command line.
type commands struct {
	Demo    demoCommand    `cmd:"" help:"Try it in an invented workshop on this machine."`
	Serve   serveCommand   `cmd:"" help:"Serve the pages and the API."`
	Import  importCommand  `cmd:"" help:"Take a whole list in from a CSV file."`
	Export  exportCommand  `cmd:"" help:"Write out lists, or what others may have."`
	Verify  verifyCommand  `cmd:"" help:"Look whether a trail, a certificate or a database is what was sealed and signed."`
	Migrate migrateCommand `cmd:"" help:"Bring a database's schema up to date, or look at it."`
	Rebuild rebuildCommand `cmd:"" help:"Make anew what is counted and summed up from the records."`
	Backup  backupCommand  `cmd:"" help:"Make a backup, its recovery key, or look whether one is sound."`
	Restore restoreCommand `cmd:"" help:"Put a backup back into an empty place."`
	Bench   benchCommand   `cmd:"" help:"Measure this program on this machine, or fill a database to try things on."`
	User    userCommand    `cmd:"" help:"Add people, and let them in."`
	Keys    keysCommand    `cmd:"" help:"See, change and enrol the keys that seal the log of changes."`
	Doctor  doctorCommand  `cmd:"" help:"Look whether disk, clock, backups, keys, certificate and database are well."`
	Calc    calcCommand    `cmd:"" help:"Compute one figure: JSON in, JSON out."`
	Version versionCommand `cmd:"" help:"Say which version this is."`
}

// streams are where a command reads and writes.
type streams struct {
	in       io.Reader
	out, err io.Writer
}

// remembering is standard output, which remembers that something could not be written:
// a link that lets somebody in once, or the word that a backup was made, was then
// heard by nobody.
type remembering struct {
	io.Writer
	err error
}

// Write implements io.Writer.
func (r *remembering) Write(p []byte) (int, error) {
	n, err := r.Writer.Write(p)
	if r.err == nil {
		r.err = err
	}
	return n, err
}

// exitError ends the program with a status of its own after its line was
// written to standard error.
type exitError struct {
	status int
	line   string
}

func (e *exitError) Error() string { return e.line }

// silentError ends the program with a status of its own, where all was said.
type silentError struct{ status int }

func (*silentError) Error() string { return "" }

func main() {
	ctx, stop := signal.NotifyContext(context.Background(), stopSignals()...)
	defer stop()
	status := run(ctx, os.Args[1:], streams{os.Stdin, os.Stdout, os.Stderr})
	stop()
	os.Exit(status)
}

// stopSignals are those on which what lies open is put away before the program ends: a
// terminal that is closed too, unless the program was begun so as to outlive it.
func stopSignals() []os.Signal {
	told := []os.Signal{os.Interrupt, syscall.SIGTERM}
	if !signal.Ignored(syscall.SIGHUP) {
		told = append(told, syscall.SIGHUP)
	}
	return told
}

// run parses the command line, runs the command, and gives the exit status: 0
// when it did what it was asked, 2 when it was asked for something that cannot
// be, 1 when it failed.
func run(ctx context.Context, args []string, std streams) int {
	var line commands
	asked := -1
	parser, err := kong.New(&line, kong.Name("tracewright"), kong.Description(description), kong.UsageOnError(), kong.DefaultEnvars("TRACEWRIGHT"),
		kong.Writers(std.out, std.err), kong.Exit(func(status int) { asked = status }), kong.ConfigureHelp(kong.HelpOptions{Compact: true, WrapUpperBound: 100}))
	if err != nil {
		fmt.Fprintln(std.err, "tracewright:", err)
		return 1
	}
	if len(args) == 0 {
		args = []string{"--help"}
	}
	command, err := parser.Parse(args)
	if asked >= 0 {
		return asked // help was asked for and shown
	}
	if err != nil {
		fmt.Fprintln(std.err, "tracewright:", err)
		return 2
	}
	out := &remembering{Writer: std.out}
	std.out = out
	command.BindTo(ctx, (*context.Context)(nil))
	command.Bind(std)
	err = command.Run()
	// A server that was told to stop did what it was asked all the same.
	if name := command.Command(); err == nil && name != "serve" && name != "demo" {
		err = out.err
	}
	var exit *exitError
	var silent *silentError
	switch {
	case err == nil:
		return 0
	case errors.As(err, &silent):
		return silent.status
	case errors.As(err, &exit):
		fmt.Fprintln(std.err, exit.line)
		return exit.status
	case sayProblems(std.err, err):
		return 2
	}
	fmt.Fprintln(std.err, "tracewright:", err)
	return 1
}

// sayProblems puts into words what is wrong with what was asked for, a line
// each, and says whether that was the cause.
func sayProblems(out io.Writer, err error) bool {
	english := words.In("en")
	var invalid *models.InvalidError
	var refused *models.RefusedError
	switch {
	case errors.As(err, &invalid):
		for _, p := range invalid.Problems {
			where := ""
			if p.Field != "" { // Otherwise it is about all of it.
				where = p.Field + ": "
			}
			fmt.Fprintf(out, "tracewright: %s%s\n", where, english.Problem(p))
		}
	case errors.As(err, &refused):
		for _, r := range refused.Reasons {
			fmt.Fprintf(out, "tracewright: %s\n", english.Remark(r))
		}
	default:
		return false
	}
	return true
}
