package measure_test

import (
	"fmt"

	"tracewright/models/numbers/measure"
)

// A reading keeps the digits it was typed with, whatever the decimal mark.
func ExampleParseReading() {
	reading, err := measure.ParseReading(" 0,210")
	fmt.Println(reading, reading.Decimals(), err)
	_, err = measure.ParseReading("1e3")
	fmt.Println(err)
	// Output:
	// 0.210 3 <nil>
	// "1e3": not a number
}

// A computed result becomes a decimal once, with the decimals its
// characteristic declares.
func ExampleRound() {
	result, err := measure.Round(0.53004998, 4)
	fmt.Println(result, err)
	// Output: 0.5300 <nil>
}

func ExampleConvert() {
	reading, unit, err := measure.ParseReadingUnit("105 kgf")
	if err != nil {
		fmt.Println(err)
		return
	}
	newtons, err := measure.Convert(reading, unit, measure.Newton)
	fmt.Println(newtons, measure.Newton.Symbol(), err)
	// Output: 1029.69825 N <nil>
}
