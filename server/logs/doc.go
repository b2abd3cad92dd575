// Package logs makes the log of the program: structured lines that name requests
// by the pattern of their route and people by their random id, and hold no names,
// addresses, secrets or serials.
//
// What is written keeps to that by itself. The causes of errors come from further
// down, and from databases that repeat what they were given: their text is
// cleaned here, as the last line.
package logs
