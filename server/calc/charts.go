package calc

// chartKinds are control charts.
var chartKinds = []Kind{}
