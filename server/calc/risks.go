package calc

// riskKinds are the chances that a verdict is wrong.
var riskKinds = []Kind{}
