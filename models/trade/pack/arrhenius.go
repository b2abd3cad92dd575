package pack

import "math"

const (
	gasConstant  = 8.314462618 // J/(mol K), CODATA 2018, exact by definition to these digits
	zeroCelsiusK = 273.15
)

// ActivationEnergy gives the energy, kJ/mol, with which a rate is multiplied by
// ratio from t1C to t2C degrees:
//
//	Ea = R ln(ratio) / (1/T1 - 1/T2), T in kelvin
//
// Source: Arrhenius's law; doubling from 25 to 35 degrees is 52.95 kJ/mol. A
// loss that falls as it gets warmer has no such energy and is refused.
func ActivationEnergy(t1C, t2C, ratio float64) (float64, error) {
	err := first(checkTemperature("T1_C", t1C), checkTemperature("T2_C", t2C), positive("rate_ratio", ratio))
	if err != nil {
		return 0, err
	}
	logRatio := math.Log(ratio)
	switch {
	case t1C == t2C:
		return 0, fieldf("T2_C", "must differ from T1_C")
	case (t2C > t1C) != (logRatio > 0) && logRatio != 0:
		return 0, fieldf("rate_ratio", "a rate of %g times from %g to %g degrees falls as it gets warmer; are the temperatures exchanged", ratio, t1C, t2C)
	}
	k1, k2 := t1C+zeroCelsiusK, t2C+zeroCelsiusK
	apart := (k2 - k1) / (k1 * k2) // 1/T1 - 1/T2 without its cancellation
	if apart == 0 {
		return 0, fieldf("T2_C", "is too near to T1_C")
	}
	energy := gasConstant * logRatio / apart / 1000
	return energy, computed(energy)
}

// ArrheniusRate gives the loss of charge, % of capacity per month, at tempC
// from the rate s25 at 25 degrees and an activation energy in kJ/mol:
//
//	s(T) = s25 exp(-Ea/R (1/T - 1/298.15))
//
// Source: Arrhenius's law. Near 25 degrees it differs little from doubling per
// 10 K (SelfDischargeRate), which is what dates are computed with.
func ArrheniusRate(s25, energyKJMol, tempC float64) (float64, error) {
	err := first(rate("s25_pct_month", s25), checkTemperature("temp_C", tempC), finite("Ea_kJ_mol", energyKJMol))
	if err == nil && energyKJMol < 0 {
		err = fieldf("Ea_kJ_mol", "cannot be negative")
	}
	if err != nil {
		return 0, err
	}
	monthly := s25 * math.Exp(-energyKJMol*1000/gasConstant*(1/(tempC+zeroCelsiusK)-1/(ReferenceC+zeroCelsiusK)))
	return monthly, computed(monthly)
}
