// Package web holds the pages for people: a typed struct, a Go file and a
// template for each.
//
// It believes that a page answers one question and that its title is the
// answer; the evidence stands below it and the likeliest next act beside it,
// as the page's one filled button. A verdict is always a shape, a word and a
// colour. What is not known yet is written "none yet" in grey, never 0 and
// never a dash.
//
// Pages are rendered to a buffer and then sent, so that a template that fails
// gives an error page and never half a page. Forms are plain HTML forms and
// work without a script; a script only adds what a form cannot do. No page
// carries an inline script or style, so that the content security policy can
// forbid both.
//
// To add a page: one Go file with its struct and handlers, one template of the
// same name under templates, one line in the table of routes, and one row in
// the render test.
package web
