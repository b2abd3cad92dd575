// Package metrics counts what a server does, for a collector that asks for it in
// the exposition format of Prometheus (version 0.0.4).
//
// Nothing that is counted names a person, a customer or a record: requests go by
// the pattern of their route, refusals by their code. There are as many series as
// the program has routes and codes, however much is recorded.
package metrics
