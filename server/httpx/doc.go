// Package httpx is what the API and the pages share: handlers that return an
// error, one place that turns errors into answers, who is signed in, and the
// limits every request meets before it reaches a handler.
//
// A route is a row of a table: method, path, the act it performs, and its
// handler. The act decides who may take it (models.Permitted), so a test can
// walk every route with every role, and a route that names no act is refused
// when the router is built.
//
// A handler reads its input (DecodeJSON for the API, gin's ShouldBind for
// forms), calls one service with c.Request.Context() and Actor(c), and either
// answers or returns the error as it came. It never answers and returns an
// error.
package httpx
