package calc

// testKinds compare groups.
var testKinds = []Kind{}
