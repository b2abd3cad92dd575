package web

import (
	"strings"

	"tracewright/models"
)

// Frame is what the layout draws around every page; each page's struct embeds
// one. It has no methods: each would be compiled for every page again.
type Frame struct {
	Tab   string       // the browser's title; the page's own title is its h1
	Here  string       // address of the menu entry that this page belongs to
	Actor models.Actor // nobody signed in: the zero Actor
	Query string       // what stands in the find field
	Done  string       // what the last form did, in a sentence; shown once

	Trouble string // why something could not be stored just now

	Idle int // minutes without a hand until the page is covered; 0: it is not
}

// Link is an entry of the menu.
type Link struct{ Path, Text string }

// mainMenu lists the entries of the head band this person may use.
func mainMenu(actor models.Actor) []Link {
	links := []Link{{"/", "Today"}}
	if actor.May(models.ActRecord) {
		links = append(links, Link{"/stand", "Record a wheel"}, Link{"/bench", "Record a pack"})
	}
	return append(links, Link{"/blocks", "Blocks"}, Link{"/shelf", "Shelf"}, Link{"/attention", "Needs attention"}, Link{"/charts", "In control?"})
}

// moreMenu lists the entries of the menu under the person's name.
func moreMenu(actor models.Actor) []Link {
	var links []Link
	if actor.May(models.ActRecord) {
		links = append(links, Link{"/lace", "Lace wheels"})
	}
	links = append(links, Link{"/in-work", "In work"}, Link{"/kits", "Kits"}, Link{"/orders", "Orders"}, Link{"/shipments", "Shipments"}, Link{"/recalls", "Recalls"}, Link{"/claims", "Claims"})
	if actor.May(models.ActCustomers) {
		links = append(links, Link{"/customers", "Customers"})
	}
	links = append(links, []Link{{"/families", "Families and products"}, {"/specifications", "Specifications"}, {"/holds", "Holds"}, {"/nonconformities", "Nonconformities"}, {"/corrective-actions", "Corrective actions"}, {"/defects", "Defects"}, {"/unplaced", "Unplaced inspections"}, {"/lots", "Lots"}, {"/materials", "Materials and suppliers"}, {"/instruments", "Instruments"}, {"/studies", "Gauge studies"}, {"/budgets", "Uncertainty"}, {"/labels", "Labels"}, {"/rolls", "Label rolls"}, {"/lists", "Lists in and out"}, {"/setup", "Scanner, gauge, pedal"}}...)
	if actor.May(models.ActSpecify) {
		links = append(links, Link{"/check-lists", "Check lists"})
	}
	if actor.May(models.ActManagePeople) {
		links = append(links, Link{"/people", "People"}, Link{"/sessions", "Who is signed in"}, Link{"/devices", "Tablets"}, Link{"/shop", "The shop"}, Link{"/changes", "Changes"}, Link{"/backups", "Backups"})
	}
	if actor.DeviceID == "" {
		links = append(links, Link{"/own", "Your password and PIN"}, Link{"/own/second", "Your second factor"}, Link{"/own/sessions", "Where you are signed in"})
	}
	return links
}

// tabTitle is the title with the program's name.
func tabTitle(tab string) string {
	if tab == "" {
		return "Tracewright"
	}
	return tab + " · Tracewright"
}

// shortPerson is a person's name as it fits beside the find field.
func shortPerson(name string) string {
	parts := strings.Fields(name)
	if len(parts) < 2 {
		return name
	}
	return string([]rune(parts[0])[:1]) + ". " + parts[len(parts)-1]
}
