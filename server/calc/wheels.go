package calc

// wheelKinds are the calculations on wheels.
var wheelKinds []Kind
