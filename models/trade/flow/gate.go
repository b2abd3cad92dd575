package flow

import (
	"slices"

	"tracewright/models"
)

// Why a required result keeps an item from being released.
const (
	Missing  = "missing"
	Failed   = "failed"
	Approval = "approval" // in the guard band, and nobody approved it
)

// Unmet is a required result that keeps an item back.
type Unmet struct {
	Result string
	Why    string
}

// UnmetOf says which required results keep an item back, in the order in which
// they are required. verdicts are by result; whatever was approved, by a
// concession, holds nothing back but by being missing.
func UnmetOf(required []string, verdicts map[string]string, approved []string) []Unmet {
	var unmet []Unmet
	for _, result := range required {
		verdict, there := verdicts[result]
		switch {
		case !there:
			unmet = append(unmet, Unmet{result, Missing})
		case models.Accepted(verdict), slices.Contains(approved, result):
		case models.Undecided(verdict):
			unmet = append(unmet, Unmet{result, Approval})
		default:
			unmet = append(unmet, Unmet{result, Failed})
		}
	}
	return unmet
}
