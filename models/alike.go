package models

import "strings"

// Alike writes a name so that blanks and capitals make no difference: two that come to
// the same are one to whoever reads them.
func Alike(name string) string { return strings.ToLower(strings.Join(strings.Fields(name), " ")) }

// SupplierNames are the names of the register by how they read.
type SupplierNames map[string]string

// NamesOfSuppliers are those of a register.
func NamesOfSuppliers(register []Supplier) SupplierNames {
	names := SupplierNames{}
	for _, x := range register {
		names[Alike(x.Name)] = x.Name
	}
	return names
}

// As writes a supplier as the register has it, blanks and capitals aside; a new one joins
// the names.
func (n SupplierNames) As(typed string) string {
	if typed == "" {
		return ""
	}
	key := Alike(typed)
	if _, known := n[key]; !known {
		n[key] = strings.Join(strings.Fields(typed), " ")
	}
	return n[key]
}

// WrittenSo leaves of items that carry a number, capitals aside, those on which it is
// written just so; all where it is on none.
func WrittenSo(found []Item, number string) []Item {
	var so []Item
	for _, i := range found {
		if i.MakerNumber != nil && *i.MakerNumber == number {
			so = append(so, i)
		}
	}
	if len(so) == 0 {
		return found
	}
	return so
}

// OfMake leaves of items those of a supplier and model, blanks and capitals aside; one
// that is written just so goes before those that are not.
func OfMake(found []Item, supplier, model, number string) []Item {
	var alike []Item
	for _, i := range found {
		switch {
		case i.MakerNumber == nil:
		case i.Supplier == supplier && i.Model == model && *i.MakerNumber == number:
			return []Item{i}
		case Alike(i.Supplier) == Alike(supplier) && Alike(i.Model) == Alike(model) && strings.EqualFold(*i.MakerNumber, number):
			alike = append(alike, i)
		}
	}
	return alike
}
