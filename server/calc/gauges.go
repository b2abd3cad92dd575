package calc

// gaugeKinds are uncertainty, gauge studies and calibration.
var gaugeKinds = []Kind{}
