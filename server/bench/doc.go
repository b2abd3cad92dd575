// Package bench measures the whole server on the machine it stands on, against
// what the database does by itself with the same rows or the same statements,
// within one run: another machine or another hour gives other figures, and only
// ratios travel.
//
// Nothing of a shop is touched. What is measured lies in a SQLite file in a
// folder of its own, or in a schema of its own of a PostgreSQL database; both
// are removed. [Run] does all of it; the parts stand by themselves for the Go
// benchmarks of package server. [Fill] is the other half: it fills a database
// with as many items as it is told, by the same ways as a shop's work.
package bench
