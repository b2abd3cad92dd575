package calc

// samplingKinds are acceptance sampling plans.
var samplingKinds = []Kind{}
