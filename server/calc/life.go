package calc

// lifeKinds are times until failure, many of them censored.
var lifeKinds = []Kind{}
