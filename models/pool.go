package models

import "time"

// PoolState is how a pool of connections to the database stands, for whoever
// watches over the server.
type PoolState struct {
	Name             string // reading, writing, all
	Open, Busy, Most int
	Waits            int64         // how often somebody waited for a connection
	Waited           time.Duration // how long, in all
}
