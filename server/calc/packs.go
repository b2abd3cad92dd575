package calc

// packKinds are the calculations on battery packs.
var packKinds []Kind
