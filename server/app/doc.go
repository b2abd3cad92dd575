// Package app joins everything: it opens the database, brings its schema up to
// date, builds the services, mounts the routes, and serves until it is told to
// stop. It is the one place that knows both the database and the pages.
//
// The rules of who may import whom are tested here, because every part of the
// house comes together here.
package app
