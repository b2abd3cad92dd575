package build

import (
	"errors"
	"strconv"
	"strings"
	"unicode"

	"tracewright/models"
	"tracewright/models/numbers/measure"
	"tracewright/models/sheet"
)

// Bounds of a log: a day a row every ten seconds, and more blocks than a pack
// has.
const (
	mostRows   = 10_000
	mostBlocks = 64
	mostBytes  = 2 << 20
)

// second and minute in hours.
const second, minute = 1.0 / 3600, 1.0 / 60

// unitsOf are the factors from the unit in a column's head to hours, amperes
// and volts.
var unitsOf = []map[string]float64{
	{"s": second, "sec": second, "secs": second, "second": second, "seconds": second, "min": minute, "mins": minute, "minute": minute, "minutes": minute, "h": 1, "hr": 1, "hrs": 1, "hour": 1, "hours": 1},
	{"ma": 0.001, "a": 1},
	{"mv": 0.001, "v": 1},
}

// ParseLog reads a pasted log: a row a moment with time, current and each
// block's voltage, separated by tabs, semicolons or commas. The decimal mark is
// a point, and behind tabs and semicolons, or in quotes, may be a comma. A head line is
// optional; its units are followed, hours, amperes and volts stand without one.
// A time may be written as 1:30 or 1:30:00.
func ParseLog(typed string) (models.CapacityLog, error) {
	if len(typed) > mostBytes {
		return models.CapacityLog{}, models.Invalid("log", "too_large", "most", "2 MB")
	}
	read, err := sheet.Read([]byte(typed), mostRows+1)
	switch {
	case errors.Is(err, sheet.ErrTooManyRows):
		return models.CapacityLog{}, models.Invalid("log", "log_rows", "most", strconv.Itoa(mostRows))
	case err != nil:
		return models.CapacityLog{}, models.Invalid("log", "not_text")
	}
	factors := []float64{1, 1}
	var log models.CapacityLog
	for _, row := range read.Rows {
		cells, line := row.Cells, strconv.Itoa(row.Number)
		if len(cells) < 3 || len(cells) > mostBlocks+2 {
			return models.CapacityLog{}, models.Invalid("log", "log_columns", "line", line)
		}
		if log.Volts == nil {
			log.Volts = make([][]string, len(cells)-2)
			if isHead(cells) {
				factors = headFactors(cells)
				continue
			}
		}
		if len(cells)-2 != len(log.Volts) {
			return models.CapacityLog{}, models.Invalid("log", "log_columns", "line", line)
		}
		for k, cell := range cells {
			text, ok := number(cell, k, factor(factors, k))
			if !ok {
				return models.CapacityLog{}, models.Invalid("log", "log_number", "line", line, "typed", models.Shortened(cell))
			}
			switch k {
			case 0:
				log.Hours = append(log.Hours, text)
			case 1:
				log.Amps = append(log.Amps, text)
			default:
				log.Volts[k-2] = append(log.Volts[k-2], text)
			}
		}
		if len(log.Hours) > mostRows {
			return models.CapacityLog{}, models.Invalid("log", "log_rows", "most", strconv.Itoa(mostRows))
		}
	}
	return log, nil
}

func isHead(cells []string) bool {
	_, ok := number(cells[0], 0, 1)
	return !ok && strings.IndexFunc(cells[0], unicode.IsLetter) >= 0
}

// headFactors reads the unit at the end of each column's head.
func headFactors(cells []string) []float64 {
	factors := make([]float64, len(cells))
	for i, cell := range cells {
		factors[i] = 1
		words := strings.FieldsFunc(strings.ToLower(cell), func(r rune) bool { return !unicode.IsLetter(r) })
		if len(words) == 0 {
			continue
		}
		if f, ok := unitsOf[min(i, 2)][words[len(words)-1]]; ok {
			factors[i] = f
		}
	}
	return factors
}

func factor(factors []float64, column int) float64 {
	if column < len(factors) {
		return factors[column]
	}
	return 1
}

// number reads one cell and brings it to the column's unit; what needs no
// factor stays as it was typed.
func number(cell string, column int, factor float64) (string, bool) {
	if column == 0 && strings.Contains(cell, ":") {
		return clock(cell)
	}
	d, err := measure.ParseReading(cell)
	if err != nil {
		return "", false
	}
	if factor == 1 {
		return d.String(), true
	}
	return strconv.FormatFloat(d.Float()*factor, 'g', 12, 64), true
}

// clock reads 1:30 or 1:30:00 as hours.
func clock(cell string) (string, bool) {
	parts := strings.Split(cell, ":")
	if len(parts) > 3 {
		return "", false
	}
	hours, unit := 0.0, 1.0
	for _, p := range parts {
		d, err := measure.ParseReading(p)
		if err != nil || d.Sign() < 0 {
			return "", false
		}
		hours += d.Float() * unit
		unit /= 60
	}
	return strconv.FormatFloat(hours, 'g', 12, 64), true
}
