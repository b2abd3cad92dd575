package capture

import (
	"context"
	"fmt"

	"tracewright/models"
	"tracewright/models/trade/ident"
)

// anotherLabel says that a lot's label was scanned where a serial is wanted. It
// comes before the search by last characters: a lot's code can look like the
// end of somebody's serial.
func (s *Service) anotherLabel(ctx context.Context, scan ident.Scan) error {
	if scan.What != ident.ScanText || scan.Text == "" {
		return nil
	}
	lots, err := s.store.LotsByCode(ctx, []string{scan.Text})
	if err != nil {
		return fmt.Errorf("whether %.40q is a lot: %w", scan.Text, err)
	}
	if len(lots) == 0 {
		return nil
	}
	return models.Invalid("serial", "scan_lot", "lot", lots[0].Code, "material", lots[0].Material)
}

// makersNumber says that the number of a motor or block was scanned.
func (s *Service) makersNumber(ctx context.Context, scan ident.Scan) error {
	number := scan.Text
	if scan.What == ident.ScanGS1 {
		number = ident.ElementOf(scan.Elements, "21")
	}
	if number == "" {
		return nil
	}
	found, err := s.store.ItemsByMakerNumber(ctx, number, 1)
	if err != nil {
		return fmt.Errorf("whether %.40q is a maker's number: %w", number, err)
	}
	if len(found) == 0 {
		return nil
	}
	return models.Invalid("serial", "scan_makers_number", "number", models.Shortened(*found[0].MakerNumber), "kind", found[0].Kind, "model", found[0].Supplier+" "+found[0].Model)
}

// noSerial says what a text is that is no serial.
func (s *Service) noSerial(ctx context.Context, scan ident.Scan) error {
	if err := s.makersNumber(ctx, scan); err != nil {
		return err
	}
	code, values := scan.Problem()
	for i := 1; i < len(values); i += 2 {
		values[i] = models.Shortened(values[i])
	}
	return models.Invalid("serial", code, values...)
}

func refuse(code string, values ...string) error {
	return &models.RefusedError{Reasons: []models.Remark{models.NewRemark(code, values...)}}
}

// notThePart says, where a part's number found nothing, what was scanned
// instead: the label of a lot, or the serial of a wheel, pack or kit. It gives
// the plain code otherwise.
func (s *Service) notThePart(ctx context.Context, code, number string) (string, []string, error) {
	plain := []string{"number", models.Shortened(number)}
	if code != "unknown_number" {
		return code, plain, nil
	}
	scan := ident.Recognise(number)
	if scan.What == ident.ScanSerial {
		kinds := map[ident.Kind]string{ident.Wheel: models.KindWheel, ident.Pack: models.KindPack, ident.Kit: models.KindKit}
		if kind, other := kinds[ident.KindOf(scan.Serial)]; other {
			return "serial_for_number", []string{"serial", scan.Serial, "kind", kind}, nil
		}
		return code, plain, nil
	}
	lots, err := s.store.LotsByCode(ctx, []string{scan.Text})
	if err != nil {
		return "", nil, fmt.Errorf("whether %.40q is a lot: %w", scan.Text, err)
	}
	if len(lots) > 0 {
		return "lot_for_number", []string{"lot", lots[0].Code}, nil
	}
	return code, plain, nil
}
