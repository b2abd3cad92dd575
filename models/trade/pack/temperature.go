package pack

// Reference and range of the corrections, degrees Celsius.
const (
	ReferenceC = 25.0

	// Outside these no block is measured; above them stands 77, which is 25
	// degrees read off a Fahrenheit scale.
	minTemperatureC = -40.0
	maxTemperatureC = 60.0
)

const (
	// OCVCoefficient is the change of the rest voltage of a lead-acid cell, V
	// per K: 0.2 mV/K, 0.25 with strong acid. Bode 1977 and Berndt, quoted
	// from memory. The 3 to 5 mV/K often printed are the charging-voltage
	// compensation, of opposite sign, and do not belong here.
	OCVCoefficient = 0.0002

	// IRCoefficient is the change of resistance per K between 5 and 40
	// degrees, relative to 25. Common practice, no source (range -0.004 to
	// -0.010, steeper below 5 degrees).
	IRCoefficient = -0.005
)

// OCVTo25 corrects a rest voltage of a block, V, from tempC to 25 degrees:
//
//	OCV25 = OCV - coef * cells * (T - 25)
//
// coef is in V/K per cell (OCVCoefficient is the default). Source: Bode 1977,
// Berndt, quoted from memory. A voltage of wrong polarity is corrected in size
// and keeps its sign, and a dead block stays at 0: both are readings, to be
// judged and not refused.
func OCVTo25(ocv float64, cells int, tempC, coef float64) (float64, error) {
	err := first(finite("ocv_V", ocv), checkCells("cells", cells), checkTemperature("temp_C", tempC), finite("coef_V_per_K_cell", coef))
	if err != nil {
		return 0, err
	}
	correction := coef * float64(cells) * (tempC - ReferenceC)
	switch {
	case ocv > 0:
		return ocv - correction, nil
	case ocv < 0:
		return ocv + correction, nil
	}
	return 0, nil
}

// IRTo25 corrects a resistance, in any unit, from tempC to 25 degrees:
//
//	R25 = R / (1 + coef (T - 25))
//
// coef is per K and negative (IRCoefficient is the default). Good for 5 to 40
// degrees; for grading measure within 3 K of 25. Source: common practice, no
// source. A divisor that is not above zero is an error.
func IRTo25(r, tempC, coef float64) (float64, error) {
	err := first(positive("R_mohm", r), checkTemperature("temp_C", tempC), finite("coef_per_K", coef))
	if err != nil {
		return 0, err
	}
	divisor := 1 + coef*(tempC-ReferenceC)
	if divisor <= 0 {
		return 0, fieldf("coef_per_K", "with %g per K there is no correction at %g degrees", coef, tempC)
	}
	return r / divisor, nil
}

// checkTemperature refuses a temperature at which no block is measured.
func checkTemperature(field string, tempC float64) error {
	if err := finite(field, tempC); err != nil {
		return err
	}
	if tempC < minTemperatureC || tempC > maxTemperatureC {
		return fieldf(field, "%g degrees Celsius is outside %g to %g", tempC, minTemperatureC, maxTemperatureC)
	}
	return nil
}
