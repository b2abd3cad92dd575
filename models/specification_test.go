package models

import "testing"

func TestPrinted(t *testing.T) {
	characteristic := func(results ...Limit) Characteristic { return Characteristic{Results: results} }
	for _, c := range []struct {
		name    string
		of      Characteristic
		printed int // of its first result
	}{
		{"two fewer than stored", characteristic(Limit{Unit: "mm", Decimals: 4}), 2},
		{"none", characteristic(Limit{Unit: "N", Decimals: 2, Low: "800", High: "1300", U: "30"}), 0},
		{"a limit as fine", characteristic(Limit{Unit: "mm", Decimals: 4, High: "0.30", U: "0.02"}), 2},
		{"a finer limit", characteristic(Limit{Unit: "V", Decimals: 4, High: "0.026"}), 3},
		{"a finer lower limit", characteristic(Limit{Unit: "V", Decimals: 4, Low: "12.605", High: "13"}), 3},
		{"a finer uncertainty", characteristic(Limit{Unit: "V", Decimals: 4, High: "0.10", U: "0.002"}), 3},
		{"no finer than stored", characteristic(Limit{Unit: "V", Decimals: 4, High: "0.10", U: "0.00212"}), 4},
		{"read together", characteristic(Limit{Unit: "V", Decimals: 4}, Limit{Unit: "V", Decimals: 4, High: "0.100"}), 3},
		{"in another unit", characteristic(Limit{Unit: "%", Decimals: 2}, Limit{Unit: "V", Decimals: 4, High: "0.100"}), 0},
		{"of nothing known", Characteristic{}, 0},
	} {
		t.Run(c.name, func(t *testing.T) {
			l := Limit{}
			if len(c.of.Results) > 0 {
				l = c.of.Results[0]
			}
			if got := c.of.Printed(l); got != c.printed {
				t.Errorf("%d decimals, want %d", got, c.printed)
			}
		})
	}
}
