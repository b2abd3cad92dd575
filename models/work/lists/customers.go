package lists

import (
	"context"
	"errors"
	"slices"
	"strconv"
	"strings"

	"tracewright/models"
)

var customers = Kind{Name: "customers", In: models.ActCustomers, Out: models.ActCustomers, Personal: true, plan: planCustomers, write: writeCustomers, Columns: []Column{
	{Name: "name", Needed: true, Example: "Mara Example"},
	{Name: "phone", Also: []string{"telephone"}, Example: "555 0100"},
	{Name: "e-mail", Field: "email", Example: "mara@example.com"},
	{Name: "address", Lines: true, Example: "1 Example Street\nExample Town"},
	{Name: "note", Lines: true},
	{Name: "key", Follows: true},
}}

func planCustomers(ctx context.Context, s *Service, l *list) (keep, error) {
	typed, names := make([]models.Customer, len(l.rows)), []string{}
	for i, r := range l.rows {
		checked, err := s.checks.Customer(models.Customer{Name: r.at("name"), Phone: r.at("phone"), Email: r.at("e-mail"), Address: r.at("address"), Note: r.at("note")})
		var invalid *models.InvalidError
		switch {
		case errors.As(err, &invalid):
			if r.at("name") == "" {
				invalid = without(invalid, "name") // It is said already.
			}
			l.told(r, invalid)
		case err != nil:
			return nil, err
		}
		typed[i], names = checked, append(names, checked.Name)
	}
	stored, err := s.store.CustomersAlike(ctx, names)
	if err != nil {
		return nil, err
	}
	known := map[string][]models.Customer{}
	for _, c := range stored {
		known[strings.ToLower(c.Name)] = append(known[strings.ToLower(c.Name)], c)
	}
	before := map[string][]int{} // places in the list, by name
	var fresh []models.Customer
	for i, r := range l.rows {
		c, name := typed[i], strings.ToLower(typed[i].Name)
		if name == "" {
			continue
		}
		if at := slices.IndexFunc(before[name], func(k int) bool { return person(typed[k], c) }); at >= 0 {
			l.wrong(r, "name", "list_twice", "row", strconv.Itoa(l.rows[before[name][at]].number))
			continue
		}
		before[name] = append(before[name], i)
		var differing []string
		same := slices.ContainsFunc(known[name], func(x models.Customer) bool {
			if !person(x, c) {
				return false
			}
			names := customerDiffers(r, c, x)
			if len(names) > 0 {
				differing = names
			}
			return len(names) == 0
		})
		switch {
		case l.bad[r.number]:
		case same:
			l.Same++
		case len(differing) > 0:
			l.differs(r, "name", differing)
		default:
			l.New++
			c.ID = models.NewRandomID()
			fresh = append(fresh, c)
		}
	}
	return func(ctx context.Context) error { return s.store.AddCustomers(ctx, l.stamp, fresh) }, nil
}

// person says whether two of the same name are one person as far as a list can
// tell: a phone or an e-mail in common, or nothing that tells them apart.
func person(a, b models.Customer) bool {
	phone, email := digits(a.Phone) == digits(b.Phone), strings.EqualFold(a.Email, b.Email)
	return phone && a.Phone != "" || email && a.Email != "" || phone && email && models.OneLine(a.Address) == models.OneLine(b.Address)
}

// digits are those of a telephone number, however it is written: 0049 is +49.
func digits(phone string) string {
	return strings.TrimPrefix(strings.Map(func(r rune) rune {
		if r < '0' || r > '9' {
			return -1
		}
		return r
	}, phone), "00")
}

// oneLine is a text whatever its lines end with.
// customerDiffers names the columns that say something else than is on record; an
// empty cell says nothing.
func customerDiffers(r row, c, stored models.Customer) []string {
	return differing(r, []said{{"phone", digits(c.Phone), digits(stored.Phone)}, {"e-mail", strings.ToLower(c.Email), strings.ToLower(stored.Email)}, {"address", models.OneLine(c.Address), models.OneLine(stored.Address)}, {"note", models.OneLine(c.Note), models.OneLine(stored.Note)}})
}

func writeCustomers(ctx context.Context, s *Service, o *output) error {
	next := func(ctx context.Context, after string, most int) ([]models.Customer, error) {
		return s.store.CustomersAfter(ctx, o.stamp, after, o.ask.Reason, most)
	}
	return pages(ctx, next, func(c models.Customer) (string, error) {
		return c.ID, o.Row(c.Name, c.Phone, c.Email, c.Address, c.Note, c.ID)
	})
}
