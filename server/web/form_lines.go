package web

import (
	"errors"
	"fmt"
	"strconv"
	"strings"

	"tracewright/models"
)

// atLines turns the places of problems in a list that was sent into those of the
// lines in the form, where empty ones were left out.
func atLines(problem error, list string, lines []int) error {
	var invalid *models.InvalidError
	if !errors.As(problem, &invalid) {
		return problem
	}
	out := &models.InvalidError{}
	for _, p := range invalid.Problems {
		if rest, found := strings.CutPrefix(p.Field, list+"["); found {
			number, behind, _ := strings.Cut(rest, "]")
			if k, err := strconv.Atoi(number); err == nil && k >= 0 && k < len(lines) {
				p.Field = fmt.Sprintf("%s[%d]%s", list, lines[k], behind)
			}
		}
		out.Problems = append(out.Problems, p)
	}
	return out
}
