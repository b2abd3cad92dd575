package lists

import (
	"context"
	"errors"
	"fmt"
	"regexp"
	"strconv"
	"strings"
	"time"

	"tracewright/models"
	"tracewright/models/sheet"
	"tracewright/models/trade/ident"
)

var builds = Kind{Name: "build-records", In: models.ActEnterPast, Out: models.ActLook, plan: planBuilds, write: writeBuilds, Columns: []Column{
	{Name: "item", Also: []string{"serial"}, Needed: true, Example: "W26-00005-1"},
	{Name: "role", Also: []string{"part"}, Needed: true, Example: "spokes A"},
	{Name: "place"},
	{Name: "lot", Also: []string{"lot code"}, Example: "SP-0214"},
	{Name: "number", Also: []string{"maker's number", "part number"}},
	{Name: "supplier"},
	{Name: "model"},
	{Name: "quantity", Also: []string{"pieces"}, Example: "18"},
	{Name: "built in on", Also: []string{"date", "on", "built on"}, Example: "2026-03-05"},
	{Name: "by", Also: []string{"person", "built by"}},
	{Name: "reason"},
	{Name: "taken out on", Also: []string{"taken out"}, Follows: true},
}}

// built is what one row says was built into one item.
type built struct {
	row
	part models.SentPart
	day  string
	by   string // key of the person
}

// buildPlan gathers the rows of each item.
type buildPlan struct {
	*list
	items  []models.Item // in the order that they are first named
	builds map[string][]built
	there  map[string][]models.PartView
}

func planBuilds(ctx context.Context, s *Service, l *list) (keep, error) {
	p := &buildPlan{list: l, builds: map[string][]built{}}
	if err := s.gather(ctx, p); err != nil {
		return nil, err
	}
	ids := make([]string, len(p.items))
	for i, item := range p.items {
		ids[i] = item.ID
	}
	var err error
	if p.there, err = s.store.PartsOf(ctx, ids); err != nil {
		return nil, err
	}
	ask, rows := make([]models.PartsToFit, len(p.items)), make([][]built, len(p.items))
	for i, item := range p.items {
		rows[i] = p.unknown(item)
		ask[i] = models.PartsToFit{Item: item, There: p.there[item.ID]}
		for _, b := range rows[i] {
			ask[i].In = append(ask[i].In, b.part)
		}
	}
	fitted, problems, err := s.checks.Parts(ctx, ask)
	if err != nil {
		return nil, err
	}
	var fresh []models.FittedPart
	for i := range p.items {
		p.toldOf(rows[i], problems[i])
		for k, part := range fitted[i] {
			b := rows[i][k]
			part.ItemID, part.FittedAt, part.FittedBy = p.items[i].ID, l.noon(b.day), b.by
			if !l.bad[b.number] {
				l.New++
				fresh = append(fresh, part)
			}
		}
	}
	return func(ctx context.Context) error { return s.store.AddFitted(ctx, l.stamp, fresh) }, nil
}

// gather reads the rows and finds the item and the person of each.
func (s *Service) gather(ctx context.Context, p *buildPlan) error {
	find, err := s.itemsNamed(ctx, p.list)
	if err != nil {
		return err
	}
	people, err := s.names(ctx)
	if err != nil {
		return err
	}
	for _, r := range p.rows {
		b := built{row: r, day: p.day(r, "built in on")}
		b.part = models.SentPart{Role: role(r.at("role")), Place: r.at("place"), Lot: r.at("lot"), Number: r.at("number"), Supplier: r.at("supplier"), Model: r.at("model"), Quantity: p.whole(r, "quantity"), Reason: r.at("reason")}
		if name := r.at("by"); name != "" {
			switch keys := people[sheet.Fold(name)]; len(keys) {
			case 0:
				p.wrong(r, "by", "list_unknown_person", "typed", models.Shortened(name))
			case 1:
				b.by = keys[0]
			default:
				p.wrong(r, "by", "list_person_twice", "typed", models.Shortened(name))
			}
		}
		item, ok := find(r)
		if !ok {
			continue
		}
		if since := builtOn(item, p.zone); b.day != "" && b.day < since {
			p.wrong(r, "built in on", "before_item", "date", since)
		}
		if len(p.builds[item.ID]) == 0 {
			p.items = append(p.items, item)
		}
		p.builds[item.ID] = append(p.builds[item.ID], b)
	}
	return nil
}

// names gives the people by what they are called, capitals aside; the keys of a
// name that two have are both there.
func (s *Service) names(ctx context.Context) (map[string][]string, error) {
	people, err := s.store.People(ctx)
	if err != nil {
		return nil, fmt.Errorf("names of people: %w", err)
	}
	keys := map[string][]string{}
	for _, p := range people {
		folded := sheet.Fold(p.Name)
		keys[folded] = append(keys[folded], p.ID)
	}
	return keys, nil
}

// role reads a role however it is written: Spokes A is spokes_a.
func role(typed string) string {
	for _, r := range models.PartRoles {
		if sheet.Fold(r) == sheet.Fold(typed) {
			return r
		}
	}
	return typed
}

// shownRole writes a role as people do.
var shownRole = strings.NewReplacer("_a", " A", "_b", " B")

// itemsNamed finds items by their serial, or by the number that they carry where
// one item alone has it.
func (s *Service) itemsNamed(ctx context.Context, l *list) (func(row) (models.Item, bool), error) {
	var serials, numbers []string
	for _, r := range l.rows {
		if serial, err := ident.Normalise(r.at("item")); err == nil {
			serials = append(serials, serial)
		} else {
			numbers = append(numbers, r.at("item"))
		}
	}
	bySerial, err := s.store.ItemsBySerial(ctx, serials)
	if err != nil {
		return nil, err
	}
	byNumber, err := s.store.ItemsByMakerNumbers(ctx, numbers)
	if err != nil {
		return nil, err
	}
	found := map[string][]models.Item{}
	for _, i := range bySerial {
		found[*i.Serial] = append(found[*i.Serial], i)
	}
	alike := map[string][]models.Item{} // in small letters
	for _, i := range byNumber {
		found[*i.MakerNumber] = append(found[*i.MakerNumber], i)
		folded := strings.ToLower(*i.MakerNumber)
		alike[folded] = append(alike[folded], i)
	}
	return func(r row) (models.Item, bool) {
		typed := r.at("item")
		if typed == "" {
			return models.Item{}, false
		}
		key, err := ident.Normalise(typed)
		if err != nil {
			key = typed
		}
		named := found[key]
		if len(named) == 0 && err != nil {
			named = alike[strings.ToLower(key)]
		}
		item, code := models.OnlyItem(named)
		switch {
		case code == "":
			return item, true
		case errors.Is(err, ident.ErrCheck):
			l.wrong(r, "item", "serial_check", "serial", models.Shortened(typed))
		case err == nil:
			l.wrong(r, "item", "unknown_serial", "serial", ident.Print(key))
		default:
			l.wrong(r, "item", code, "number", models.Shortened(typed))
		}
		return models.Item{}, false
	}, nil
}

// unknown leaves of the rows of an item those that are on record already, each
// fitting for one row, and notes rows that say the same twice.
func (p *buildPlan) unknown(item models.Item) []built {
	there := append([]models.PartView{}, p.there[item.ID]...)
	first := map[string]int{}
	var rest []built
	for _, b := range p.builds[item.ID] {
		if at := p.fittedAs(there, b); at >= 0 {
			there = append(there[:at], there[at+1:]...)
			p.Same++
			continue
		}
		if b.at("taken out on") != "" {
			p.wrong(b.row, "taken out on", "list_not_asserted")
		}
		key := fmt.Sprintf("%+v %s %s", b.part, b.day, b.by)
		if before, twice := first[key]; twice {
			p.wrong(b.row, "", "list_twice", "row", strconv.Itoa(before))
			continue
		}
		first[key] = b.number
		rest = append(rest, b)
	}
	return rest
}

// fittedAs is where a row stands among what is on record, -1 where it does not. A
// day or a name that it leaves empty is any.
func (p *buildPlan) fittedAs(there []models.PartView, b built) int {
	number, lot := ident.MakersNumber(b.part.Number), ident.WithoutPrefix(b.part.Lot)
	if serial, err := ident.Normalise(number); err == nil {
		number = serial
	}
	for i, x := range there {
		same := x.Role == b.part.Role && x.Place == b.part.Place && strings.EqualFold(x.LotCode, lot) && x.Number == number && x.Quantity == max(1, b.part.Quantity) &&
			(x.LotID != nil || (b.part.Supplier == "" || x.Supplier == b.part.Supplier) && (b.part.Model == "" || x.Description == b.part.Model))
		if same && (b.day == "" || b.day == p.shown(x.FittedAt)) && (b.by == "" || b.by == x.FittedBy) {
			return i
		}
	}
	return -1
}

var fieldOfLine = regexp.MustCompile(`^in\[(\d+)\]\.?(.*)$`)

// toldOf notes what was found in the rows of one item, each problem at its row.
func (p *buildPlan) toldOf(rows []built, invalid *models.InvalidError) {
	for _, x := range invalid.Problems {
		at := row{}
		if m := fieldOfLine.FindStringSubmatch(x.Field); m != nil {
			if n, err := strconv.Atoi(m[1]); err == nil && n < len(rows) {
				at, x.Field = rows[n].row, m[2]
			}
		} else if len(rows) > 0 { // Of the item as a whole.
			at, x.Field = rows[len(rows)-1].row, "item"
		}
		if x.Code == "missing" && at.at(x.Field) == "" && p.bad[at.number] {
			continue // It is said already.
		}
		p.note(Problem{Row: at.number, Column: x.Field, Code: x.Code, Values: x.Values})
	}
}

func writeBuilds(ctx context.Context, s *Service, o *output) error {
	return pages(ctx, s.store.PartsAfter, func(x models.ListedPart) (string, error) {
		item, number, supplier, model, out := printed(x.Serial), printed(x.Number), "", "", time.Time{}
		if item == "" {
			item = x.ItemNumber
		}
		if x.PartID != nil {
			supplier, model = x.Supplier, x.Description
		}
		if x.OutAt != nil {
			out = *x.OutAt
		}
		return x.ID, o.Row(item, shownRole.Replace(x.Role), x.Place, x.LotCode, number, supplier, model, strconv.Itoa(x.Quantity), o.day(x.FittedAt), o.person(x.FittedBy), x.Reason, o.day(out))
	})
}

// person is what somebody is called, where this may be told.
func (o *output) person(key string) string { return strings.TrimSpace(o.names[key]) }
