package lists

import (
	"context"
	"errors"
	"fmt"
	"slices"
	"strconv"
	"strings"
	"time"
	"unicode/utf8"

	"tracewright/models"
	"tracewright/models/sheet"
	"tracewright/models/trade/ident"
	"tracewright/models/trade/kinds"
)

var items = Kind{Name: "items", In: models.ActReceive, Out: models.ActLook, plan: planItems, write: writeItems, Columns: []Column{
	{Name: "serial"},
	{Name: "kind", Needed: true, Example: "motor"},
	{Name: "product"},
	{Name: "supplier", Example: "Norvik"},
	{Name: "model", Example: "R9"},
	{Name: "number", Also: []string{"maker's number", "maker number", "old number"}, Example: "N9-220431"},
	{Name: "built on", Also: []string{"built"}},
	{Name: "state", Follows: true},
	{Name: "certificate", Follows: true},
	{Name: "shipped on", Also: []string{"shipped"}, Follows: true},
}}

const longestText = 80 // of supplier, model and number, as goods-in keeps them

// listedKinds are those that a list may bring. Kits are packed here.
var listedKinds = []string{models.KindWheel, models.KindPack, models.KindMotor, models.KindBlock}

// named is an item by what stands on it. Capitals make no other item: a label, a list and
// a hand write them as they like.
type named struct{ supplier, model, number string }

// itemPlan is what a list of items is held against.
type itemPlan struct {
	*list
	products map[string][]models.Product // by name
	family   map[string]models.Family    // by key
	name     map[string]string           // of a product, by key
	rolls    []models.SerialRoll
	bySerial map[string]models.Item
	numbered map[string][]models.Item // by the number, in small letters
	makers   models.SupplierNames
	first    map[string]int // row that names an item first
	fresh    []models.Item
}

func planItems(ctx context.Context, s *Service, l *list) (keep, error) {
	p, err := s.itemPlan(ctx, l)
	if err != nil {
		return nil, err
	}
	for _, r := range l.rows {
		p.row(r)
	}
	return func(ctx context.Context) error {
		return s.store.AddListedItems(ctx, l.stamp, l.stamp.At.In(l.zone).Year()%100, p.fresh)
	}, nil
}

func (s *Service) itemPlan(ctx context.Context, l *list) (*itemPlan, error) {
	p := &itemPlan{list: l, products: map[string][]models.Product{}, family: map[string]models.Family{}, name: map[string]string{}, bySerial: map[string]models.Item{}, numbered: map[string][]models.Item{}, first: map[string]int{}}
	families, err := s.store.Families(ctx)
	if err != nil {
		return nil, err
	}
	for _, f := range families {
		p.family[f.ID] = f
	}
	products, err := s.store.Products(ctx, "")
	if err != nil {
		return nil, err
	}
	for _, x := range products {
		folded := sheet.Fold(x.Name)
		p.products[folded], p.name[x.ID] = append(p.products[folded], x), x.Name
	}
	if p.rolls, err = s.store.Rolls(ctx); err != nil {
		return nil, err
	}
	var serials, numbers []string
	for _, r := range l.rows {
		if serial, err := ident.Normalise(r.at("serial")); err == nil {
			serials = append(serials, serial)
		}
		if number := r.at("number"); number != "" {
			numbers = append(numbers, number)
		}
	}
	bySerial, err := s.store.ItemsBySerial(ctx, serials)
	if err != nil {
		return nil, err
	}
	for _, i := range bySerial {
		p.bySerial[*i.Serial] = i
	}
	byNumber, err := s.store.ItemsByMakerNumbers(ctx, numbers)
	if err != nil {
		return nil, err
	}
	for _, i := range byNumber {
		folded := strings.ToLower(*i.MakerNumber)
		p.numbered[folded] = append(p.numbered[folded], i)
	}
	suppliers, err := s.store.Suppliers(ctx)
	p.makers = models.NamesOfSuppliers(suppliers)
	return p, err
}

// row finds what a row names, or what it brings.
func (p *itemPlan) row(r row) {
	kind := strings.ToLower(r.at("kind"))
	serial, roll := p.serial(r)
	who := named{p.makers.As(r.at("supplier")), r.at("model"), r.at("number")}
	if p.bad[r.number] || p.twice(r, serial, who) {
		return
	}
	by := "serial"
	stored, known := p.bySerial[serial]
	var numbered models.Item
	carry := models.OfMake(p.numbered[strings.ToLower(who.number)], who.supplier, who.model, who.number)
	taken := len(carry) > 0
	if taken {
		numbered = carry[0]
	}
	switch {
	case serial == "" && len(carry) > 1: // Two on record read the same: which of them is it?
		p.wrong(r, "number", "number_not_unique", "number", models.Shortened(who.number))
		return
	case serial == "" && who.number == "":
		p.wrong(r, "number", "list_serial_or_number")
		return
	case serial == "":
		by, stored, known = "number", numbered, taken
	case !known && taken:
		p.wrong(r, "number", "taken", "value", models.Shortened(*numbered.MakerNumber))
		return
	}
	if known {
		if names := p.itemDiffers(r, kind, stored); len(names) > 0 {
			p.differs(r, by, names)
		} else if !p.bad[r.number] {
			p.Same++
		}
		return
	}
	if !slices.Contains(listedKinds, kind) {
		p.wrong(r, "kind", "list_unknown_kind", "typed", models.Shortened(kind), "names", strings.Join(listedKinds, ", "))
		return
	}
	item := models.Item{ID: models.NewID(), Kind: kind, Supplier: who.supplier, Model: who.model, Origin: "made", State: models.StateInProcess, CreatedAt: p.stamp.At, CreatedBy: p.actor.String()}
	if who.number != "" {
		item.MakerNumber = &who.number
	}
	if roll != nil {
		tail := ident.Tail(serial)
		item.Serial, item.SerialTail, item.Origin = &serial, &tail, "roll"
	}
	if p.brings(r, &item, roll); !p.bad[r.number] {
		if item.Serial == nil && item.MakerNumber != nil && own(kind) {
			p.Given++
		}
		p.New++
		p.fresh = append(p.fresh, item)
	}
}

// twice notes a row that names an item which a row before it names, by the serial
// or by the number: each is of one item alone.
func (p *itemPlan) twice(r row, serial string, who named) bool {
	names := map[string]string{}
	if serial != "" {
		names["serial"] = serial
	}
	if who.number != "" {
		names["number"] = strings.Join([]string{models.Alike(who.supplier), models.Alike(who.model), strings.ToLower(who.number)}, "\x00")
	}
	for _, column := range []string{"serial", "number"} {
		if before, named := p.first[names[column]]; named {
			p.wrong(r, column, "list_twice", "row", strconv.Itoa(before))
			return true
		}
	}
	for _, name := range names {
		p.first[name] = r.number
	}
	return false
}

// own says whether the shop gives items of a kind their serials.
func own(kind string) bool { return kind == models.KindWheel || kind == models.KindPack }

// serial reads the serial of a row, and finds the roll of labels that it was
// printed on where no item has it.
func (p *itemPlan) serial(r row) (string, *models.SerialRoll) {
	typed := r.at("serial")
	if typed == "" {
		return "", nil
	}
	serial, err := ident.Normalise(typed)
	switch {
	case errors.Is(err, ident.ErrCheck):
		p.wrong(r, "serial", "serial_check", "serial", models.Shortened(typed))
		return "", nil
	case err != nil:
		p.wrong(r, "serial", "serial_form", "serial", models.Shortened(typed))
		return "", nil
	}
	if _, known := p.bySerial[serial]; known {
		return serial, nil
	}
	if letter, year, counter, err := ident.Parts(serial); err == nil {
		for i, roll := range p.rolls {
			if roll.Letter == string(rune(letter)) && roll.Year == year && roll.First <= counter && counter <= roll.Last {
				return serial, &p.rolls[i]
			}
		}
	}
	p.wrong(r, "serial", "list_serial_unknown", "serial", ident.Print(serial))
	return serial, nil
}

// brings fills a new item in from its row.
func (p *itemPlan) brings(r row, item *models.Item, roll *models.SerialRoll) {
	if own(item.Kind) {
		for _, column := range []string{"supplier", "model"} {
			if r.at(column) != "" {
				p.wrong(r, column, "list_not_of_kind", "kind", item.Kind)
			}
		}
		item.BuiltOn = p.day(r, "built on")
	} else {
		for _, column := range []string{"supplier", "model"} {
			if r.at(column) == "" {
				p.wrong(r, column, "missing")
			}
		}
		if r.at("built on") != "" {
			p.wrong(r, "built on", "list_not_of_kind", "kind", item.Kind)
		}
		if roll == nil {
			item.Origin = "received"
		}
	}
	for _, column := range []string{"supplier", "model", "number"} {
		if utf8.RuneCountInString(r.at(column)) > longestText {
			p.wrong(r, column, "too_long", "most", fmt.Sprint(longestText))
		}
	}
	if _, err := ident.Normalise(r.at("number")); err == nil { // Whoever scans it must not be led to another item.
		p.wrong(r, "number", "like_a_serial", "number", models.Shortened(r.at("number")))
	}
	p.product(r, item, roll)
	for _, column := range []string{"certificate", "shipped on"} {
		if r.at(column) != "" {
			p.wrong(r, column, "list_not_asserted")
		}
	}
	if state := r.at("state"); state != "" && sheet.Fold(state) != sheet.Fold(item.State) {
		p.wrong(r, "state", "list_not_asserted")
	}
}

// product finds what the item is an instance of: by its name, or by the roll that
// its label was printed on.
func (p *itemPlan) product(r row, item *models.Item, roll *models.SerialRoll) {
	typed := r.at("product")
	if roll != nil && roll.ProductID != nil {
		if typed != "" && sheet.Fold(typed) != sheet.Fold(p.name[*roll.ProductID]) {
			p.wrong(r, "product", "list_other_roll", "product", p.name[*roll.ProductID])
		}
		typed = p.name[*roll.ProductID]
	}
	if typed == "" {
		if own(item.Kind) {
			p.wrong(r, "product", "missing")
		}
		return
	}
	found := slices.DeleteFunc(slices.Clone(p.products[sheet.Fold(typed)]), func(x models.Product) bool { return p.family[x.FamilyID].Kind != item.Kind })
	switch len(found) {
	case 0:
		p.wrong(r, "product", "unknown_product_name", "product", models.Shortened(typed))
		return
	case 1:
		item.ProductID, item.FamilyID = &found[0].ID, &found[0].FamilyID
	default:
		p.wrong(r, "product", "list_product_twice", "product", models.Shortened(typed))
	}
	if kind, ok := kinds.Named(item.Kind); ok && roll != nil && string(rune(kind.Letter)) != roll.Letter {
		p.wrong(r, "kind", "product_of_other_kind", "serial", ident.Print(*item.Serial), "kind", item.Kind)
	}
}

// itemDiffers names the columns that say something else than is on record. What
// follows from the record is not compared: it may have moved on.
func (p *itemPlan) itemDiffers(r row, kind string, stored models.Item) []string {
	product := ""
	if stored.ProductID != nil {
		product = sheet.Fold(p.name[*stored.ProductID])
	}
	number := ""
	if stored.MakerNumber != nil {
		number = *stored.MakerNumber
	}
	list := []said{{"kind", kind, stored.Kind}, {"product", sheet.Fold(r.at("product")), product}, {"supplier", models.Alike(r.at("supplier")), models.Alike(stored.Supplier)},
		{"model", models.Alike(r.at("model")), models.Alike(stored.Model)}, {"number", strings.ToLower(r.at("number")), strings.ToLower(number)}}
	if day := p.day(r, "built on"); day != "" {
		list = append(list, said{"built on", day, builtOn(stored, p.zone)})
	}
	return differing(r, list)
}

// builtOn is the day that a list says of an item: of what the shop builds alone.
func builtOn(i models.Item, zone *time.Location) string {
	switch {
	case !own(i.Kind) && i.Kind != models.KindKit:
		return ""
	case i.OlderThanLog():
		return i.BuiltOn
	}
	return i.CreatedAt.In(zone).Format(time.DateOnly)
}

func writeItems(ctx context.Context, s *Service, o *output) error {
	return pages(ctx, s.store.ItemsAfter, func(i models.ListedItem) (string, error) {
		serial, number, shipped := "", "", ""
		if i.Serial != nil {
			serial = ident.Print(*i.Serial)
		}
		if i.MakerNumber != nil {
			number = *i.MakerNumber
		}
		if i.ShippedAt != nil {
			shipped = o.day(*i.ShippedAt)
		}
		return i.ID, o.Row(serial, i.Kind, i.Product, i.Supplier, i.Model, number, builtOn(i.Item, o.zone), strings.ReplaceAll(i.State, "_", " "), i.Certificate, shipped)
	})
}
