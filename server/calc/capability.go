package calc

// capabilityKinds compare a process with its limits.
var capabilityKinds = []Kind{}
