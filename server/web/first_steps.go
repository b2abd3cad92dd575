package web

import "context"

// firstSteps lead a new shop to its first inspection, in the order in which
// each needs the one before.
func (s *site) firstSteps(ctx context.Context) ([]Step, error) {
	settings, err := s.services.Shop.Settings(ctx)
	if err != nil {
		return nil, err
	}
	products, err := s.services.Specify.Products(ctx, "")
	if err != nil {
		return nil, err
	}
	gauges, err := s.services.Gauges.Instruments(ctx)
	if err != nil {
		return nil, err
	}
	people, err := s.services.Access.People(ctx)
	if err != nil {
		return nil, err
	}
	steps := []Step{
		{Act{Text: "Name the shop", Path: "/shop"}, "Its name and address head every certificate, its time zone dates it.", settings.Name != ""},
		{Act{Text: "Add a family and a product", Path: "/families"}, "What is measured on it, and the limits; they start from common practice and are yours to change.", len(products) > 0},
		{Act{Text: "Add the gauges", Path: "/instruments"}, "Range, resolution and due day: a reading beyond the range is refused.", len(gauges) > 0},
		{Act{Text: "Add the people", Path: "/people"}, "Who measures, who releases, who asks.", len(people) > 1},
		{Act{Text: "Enrol the tablets", Path: "/devices"}, "On the tablet itself: then a person changes by one tap on a name.", false},
	}
	if s.services.Backups.MakesKeys() {
		wanted, err := s.keyWanted(ctx)
		if err != nil {
			return nil, err
		}
		steps = append(steps, Step{Act{Text: "Print the recovery key", Path: keyPath}, "Backups are encrypted to it, and opened by the paper alone.", !wanted})
	}
	return steps, nil
}
