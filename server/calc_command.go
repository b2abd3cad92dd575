package main

import (
	"errors"
	"fmt"
	"io"
	"os"

	"tracewright/server/calc"
)

type calcCommand struct {
	Kind string `arg:"" optional:"" help:"Kind of calculation; left out, the input is {\"kind\": KIND, \"input\": {...}}."`
	List bool   `help:"List every kind with what it does, its source and an example input."`
	In   string `help:"Read the input from a file instead of standard input." placeholder:"FILE"`
}

// Help tells the contract.
func (calcCommand) Help() string {
	return `Reads one JSON object and writes one. Input that cannot be used ends with status 2 and one line on standard error that names the field and what is wrong with it; nothing is written to standard output.

  tracewright calc --list
  echo '{"kgf": 105, "lbf": 240, "turns": 0.375, "tpi": 56}' | tracewright calc units`
}

// Run computes.
func (c *calcCommand) Run(std streams) error {
	if c.List {
		return list(std.out)
	}
	input, err := c.input(std)
	if err != nil {
		return err
	}
	answer, err := c.compute(input)
	var failure *calc.Failure
	if errors.As(err, &failure) {
		return &exitError{2, failure.Error()}
	}
	if err != nil {
		return err
	}
	_, err = std.out.Write(append(answer, '\n'))
	return err
}

func (c *calcCommand) compute(input []byte) ([]byte, error) {
	if c.Kind == "" {
		return calc.RunRequest(input)
	}
	return calc.Run(c.Kind, input)
}

// largestInput is far above any sensible data set and below what would hurt.
const largestInput = 256 << 20

func (c *calcCommand) input(std streams) ([]byte, error) {
	from := std.in
	if c.In != "" {
		file, err := os.Open(c.In)
		if err != nil {
			return nil, &exitError{2, err.Error()}
		}
		defer file.Close()
		from = file
	}
	raw, err := io.ReadAll(io.LimitReader(from, largestInput+1))
	if err != nil {
		return nil, fmt.Errorf("read the input: %w", err)
	}
	if len(raw) > largestInput {
		return nil, &exitError{2, "input: larger than 256 MiB"}
	}
	return raw, nil
}

func list(out io.Writer) error {
	for _, k := range calc.List() {
		if _, err := fmt.Fprintf(out, "%s\n  %s\n  Source: %s\n  Example: %s\n", k.Name, k.Does, k.Source, k.Example); err != nil {
			return err
		}
	}
	return nil
}
