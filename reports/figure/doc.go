// Package figure draws readings as they stand on paper: a wheel as the rim
// unrolled, a pack as its string from minus to plus.
//
// It draws on any canvas of gonum's plot library, in points with y upward, and
// knows neither PDF nor pages. What is drawn are the readings as typed; where
// only two points or a few spokes were read, only those are drawn, and the
// figure says so.
package figure
