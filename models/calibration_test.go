package models_test

import (
	"testing"
	"time"

	"tracewright/models"
)

func TestCalibrationInForce(t *testing.T) {
	noon := time.Date(2031, 5, 12, 12, 0, 0, 0, time.UTC)
	entered := func(n int, on string, at time.Time) models.Calibration {
		return models.Calibration{N: n, CalibratedOn: on, EnteredAt: at}
	}
	reported := func(n int, on string, at time.Time) models.Calibration {
		return models.Calibration{N: n, CalibratedOn: on, EnteredAt: at, Reported: true}
	}
	for _, c := range []struct {
		name string
		list []models.Calibration
		want int // its number, 0 for none
	}{
		{"none at all", nil, 0},
		{"one before", []models.Calibration{entered(1, "2031-01-10", noon.AddDate(0, -4, 0))}, 1},
		{"one without a day", []models.Calibration{entered(1, "", noon.AddDate(0, -4, 0))}, 1},
		{"one entered at that very moment", []models.Calibration{entered(1, "2031-05-12", noon)}, 1},
		{"another one later", []models.Calibration{entered(1, "2030-06-01", noon.AddDate(-1, 0, 0)), entered(2, "2031-05-14", noon.AddDate(0, 0, 2))}, 1},
		{"another one that afternoon", []models.Calibration{entered(1, "2030-06-01", noon.AddDate(-1, 0, 0)), entered(2, "2031-05-12", noon.Add(time.Hour))}, 1},
		{"another one of the day before, entered late", []models.Calibration{entered(1, "2030-06-01", noon.AddDate(-1, 0, 0)), entered(2, "2031-05-11", noon.Add(time.Hour))}, 2},
		{"only one made later, though entered under an early date", []models.Calibration{entered(1, "2031-05-14", noon.AddDate(-1, 0, 0))}, 0},
		{"the newest of three before", []models.Calibration{entered(1, "2029-05-01", noon.AddDate(-2, 0, 0)), entered(2, "2030-05-01", noon.AddDate(-1, 0, 0)), entered(3, "2031-05-01", noon.AddDate(0, 0, -9))}, 3},
		{"one with its report, entered after a later one", []models.Calibration{entered(1, "2031-05-11", noon.AddDate(0, 0, -1)), reported(2, "2031-04-12", noon.AddDate(0, 0, 2))}, 1},
		{"the same, and the later one was made that morning", []models.Calibration{entered(1, "2031-05-12", noon.Add(-time.Hour)), reported(2, "2031-04-12", noon.AddDate(0, 0, 2))}, 1},
		{"the same, and the later one was made after the reading", []models.Calibration{entered(1, "2031-05-13", noon.AddDate(0, 0, 1)), reported(2, "2031-04-12", noon.AddDate(0, 0, 2))}, 2},
		{"one with its report on the day that was noted", []models.Calibration{entered(1, "2031-05-10", noon.AddDate(0, 0, -1)), reported(2, "2031-05-10", noon.AddDate(0, 0, 2))}, 2},
		{"a day that was noted too late, put right", []models.Calibration{entered(1, "2031-05-11", noon.AddDate(0, 0, -1)), entered(2, "2031-04-11", noon.Add(time.Hour))}, 2},
		{"one with its report after a note without a day", []models.Calibration{entered(1, "", noon.AddDate(0, 0, -1)), reported(2, "2031-04-12", noon.AddDate(0, 0, 2))}, 2},
	} {
		got := 0
		if found := models.CalibrationInForce(c.list, noon, "2031-05-12"); found != nil {
			got = found.N
		}
		if got != c.want {
			t.Errorf("%s: number %d, want %d", c.name, got, c.want)
		}
	}
}
