package web

import (
	"fmt"
	"strconv"
	"strings"

	"tracewright/models"
)

// kitProducts is how many products of wheels and packs a kit's form asks for;
// small parts stand one to a line below.
const kitProducts = 6

// kitGroups are the questions of a kit's form. products are those that may go
// into one.
func kitGroups(f *form, products []Choice) []FieldGroup {
	items := FieldGroup{Legend: "Wheels and packs in it"}
	list := append([]Choice{{"", "none"}}, products...)
	for i := range kitProducts {
		p := fmt.Sprintf("form.kit.lines[%d].", i)
		items.Fields = append(items.Fields, f.field(Field{Name: p + "product", Label: "Product", Kind: "select", Width: "w8", Choices: list, Optional: true}),
			f.field(Field{Name: p + "quantity", Label: "How many", Mode: "numeric", Width: "w4", Optional: true}))
	}
	return []FieldGroup{items, {Legend: "Small parts in it", Fields: []Field{
		f.field(Field{Name: "form.kit.parts", Label: "One to a line, the number first", Kind: "text area", Optional: true, Hint: "2 torque arms, M12"})}}}
}

// kitForm reads the form back; a line that cannot be read has the quantity 0,
// which the service names.
func kitForm(text func(string) string) *models.KitForm {
	k := &models.KitForm{Lines: []models.KitLine{}}
	for i := range kitProducts {
		p := fmt.Sprintf("form.kit.lines[%d].", i)
		product, n := text(p+"product"), text(p+"quantity")
		if product == "" {
			continue
		}
		quantity, err := strconv.Atoi(n)
		if n == "" {
			quantity = 1
		} else if err != nil {
			quantity = 0
		}
		k.Lines = append(k.Lines, models.KitLine{Product: product, Quantity: quantity})
	}
	for line := range strings.Lines(text("form.kit.parts")) {
		number, part, found := strings.Cut(strings.TrimSpace(line), " ")
		if number == "" {
			continue
		}
		quantity, err := strconv.Atoi(number)
		if err != nil || !found {
			quantity, part = 1, strings.TrimSpace(line)
		}
		k.Lines = append(k.Lines, models.KitLine{Part: strings.TrimSpace(part), Quantity: quantity})
	}
	return k
}

// kitValues are the answers that a kit's form stands with.
func kitValues(v map[string]string, k *models.KitForm) {
	if k == nil {
		return
	}
	var parts []string
	i := 0
	for _, l := range k.Lines {
		if l.Product == "" {
			parts = append(parts, fmt.Sprintf("%d %s", l.Quantity, l.Part))
			continue
		}
		p := fmt.Sprintf("form.kit.lines[%d].", i)
		v[p+"product"], v[p+"quantity"] = l.Product, strconv.Itoa(l.Quantity)
		i++
	}
	v["form.kit.parts"] = strings.Join(parts, "\n")
}
