package calc

import "slices"

// kinds returns the whole table, subject by subject.
func kinds() []Kind {
	return slices.Concat(
		numberKinds, sampleKinds, testKinds, chartKinds, ruleKinds, capabilityKinds, samplingKinds, lifeKinds, gaugeKinds,
		recordKinds, riskKinds, genealogyKinds, identKinds, wheelKinds, packKinds,
	)
}
