package calc

// ruleKinds are run rules and run lengths.
var ruleKinds = []Kind{}
