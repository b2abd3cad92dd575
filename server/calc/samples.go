package calc

import "slices"

// sampleKinds are intervals, outliers and the shape of samples.
var sampleKinds = slices.Concat(shapeKinds, outlierKinds, proportionKinds, processKinds, tallyKinds)
