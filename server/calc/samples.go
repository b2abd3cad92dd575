package calc

// sampleKinds are intervals, outliers and the shape of samples.
var sampleKinds = []Kind{}
