// Package review looks back on a week or a month in the order in which an owner asks:
// what needs somebody, are we in control, how good are we, what fails, what differs,
// did a change help, what comes back.
//
// It works nothing out itself. Each question's own service says what it found as
// sentences and plots, codes with values, through a [Source]; this package puts them
// in order, keeps to the room of four pages, freezes the whole, and has the paper
// drawn from it. What was said stays as it was said: a period that is looked back on
// again is a new edition, and only where there is something else to say. The paper is
// kept by its hash and reprinted as it was kept.
//
// Nobody is named in it, neither customers nor those who work here.
// Start with [Service.Make].
package review
