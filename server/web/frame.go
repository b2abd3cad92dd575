package web

import (
	"strings"

	"tracewright/models"
)

// Frame is what the layout draws around every page; each page's struct embeds
// one.
type Frame struct {
	Tab   string       // the browser's title; the page's own title is its h1
	Here  string       // address of the menu entry that this page belongs to
	Actor models.Actor // nobody signed in: the zero Actor
	Query string       // what stands in the find field
	Done  string       // what the last form did, in a sentence; shown once

	Trouble string // why something could not be stored just now

	Idle int // minutes without a hand until the page is covered; 0: it is not
}

// SignedIn says whether the menu and the find field are drawn.
func (f Frame) SignedIn() bool { return f.Actor.PersonID != "" }

// AtDevice says whether this is an enrolled tablet, where a person changes by
// one tap and confirms with a PIN.
func (f Frame) AtDevice() bool { return f.Actor.DeviceID != "" }

// Can says whether the person may do an act; pages leave out what they may not.
func (f Frame) Can(act string) bool { return f.Actor.May(models.Act(act)) }

// Link is an entry of the menu.
type Link struct{ Path, Text string }

// Main lists the entries of the head band this person may use.
func (f Frame) Main() []Link {
	links := []Link{{"/", "Today"}}
	if f.Can("record") {
		links = append(links, Link{"/stand", "Record a wheel"}, Link{"/bench", "Record a pack"})
	}
	return append(links, Link{"/blocks", "Blocks"}, Link{"/shelf", "Shelf"}, Link{"/attention", "Needs attention"}, Link{"/charts", "Charts"})
}

// More lists the entries of the menu under the person's name.
func (f Frame) More() []Link {
	var links []Link
	if f.Can("record") {
		links = append(links, Link{"/lace", "Lace wheels"})
	}
	links = append(links, Link{"/in-work", "In work"}, Link{"/kits", "Kits"}, Link{"/orders", "Orders"}, Link{"/shipments", "Shipments"}, Link{"/recalls", "Recalls"}, Link{"/claims", "Claims"})
	if f.Can("customers") {
		links = append(links, Link{"/customers", "Customers"})
	}
	links = append(links, []Link{{"/families", "Families and products"}, {"/specifications", "Specifications"}, {"/holds", "Holds"}, {"/nonconformities", "Nonconformities"}, {"/corrective-actions", "Corrective actions"}, {"/defects", "Defects"}, {"/unplaced", "Unplaced inspections"}, {"/lots", "Lots"}, {"/materials", "Materials and suppliers"}, {"/instruments", "Instruments"}, {"/studies", "Gauge studies"}, {"/budgets", "Uncertainty"}, {"/labels", "Labels"}, {"/rolls", "Label rolls"}, {"/lists", "Lists in and out"}, {"/setup", "Scanner, gauge, pedal"}}...)
	if f.Can("specify") {
		links = append(links, Link{"/check-lists", "Check lists"})
	}
	if f.Can("manage_people") {
		links = append(links, Link{"/people", "People"}, Link{"/sessions", "Who is signed in"}, Link{"/devices", "Tablets"}, Link{"/shop", "The shop"}, Link{"/changes", "Changes"}, Link{"/backups", "Backups"})
	}
	if !f.AtDevice() {
		links = append(links, Link{"/own", "Your password and PIN"}, Link{"/own/second", "Your second secret"}, Link{"/own/sessions", "Where you are signed in"})
	}
	return links
}

// TabTitle is the title with the program's name.
func (f Frame) TabTitle() string {
	if f.Tab == "" {
		return "Tracewright"
	}
	return f.Tab + " · Tracewright"
}

// ShortName is the person's name as it fits beside the find field.
func (f Frame) ShortName() string {
	parts := strings.Fields(f.Actor.Name)
	if len(parts) < 2 {
		return f.Actor.Name
	}
	return string([]rune(parts[0])[:1]) + ". " + parts[len(parts)-1]
}
