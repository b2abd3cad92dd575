package receive

import (
	"cmp"
	"context"
	"errors"
	"strconv"
	"strings"
	"unicode/utf8"

	"tracewright/models"
	"tracewright/models/trade/ident"
)

// SupplierLabel is what the code on a supplier's label says of a lot.
type SupplierLabel struct {
	Lot      string
	Date     string // of production: YYYY-MM-DD, or YYYY-MM
	Quantity int
	Article  string // its number, as it stands there
}

// SupplierLabel takes a scanned GS1 string apart; any other text is the lot's code
// as it stands. The error is an InvalidError on the field "text", and names the
// element that cannot be read.
func (s *Service) SupplierLabel(ctx context.Context, typed string) (SupplierLabel, error) {
	label, read, err := s.gs1(ctx, "text", typed)
	if err == nil && !read {
		label.Lot = ident.WithoutPrefix(typed)
	}
	return label, err
}

// gs1 reads a GS1 string; read is false for any other text.
func (s *Service) gs1(ctx context.Context, field, typed string) (label SupplierLabel, read bool, err error) {
	scan := ident.Recognise(typed)
	var at *ident.ElementError
	switch {
	case scan.What != ident.ScanGS1, scan.Foreign():
		return label, false, nil
	case errors.As(scan.Damaged, &at):
		return label, true, models.Invalid(field, wrongElement(at), "elements", at.AI+"="+at.Value, "typed", models.Shortened(at.Value))
	case scan.Damaged != nil:
		return label, true, models.Invalid(field, "gs1_unknown", "typed", models.Shortened(scan.Text))
	}
	of := func(ai string) string { return ident.ElementOf(scan.Elements, ai) }
	label.Lot = of("10")
	if made := of("11"); made != "" {
		if label.Date = ident.GS1Day(made, s.now().In(s.zone(ctx)).Year()); label.Date == "" {
			return label, true, models.Invalid(field, "gs1_date", "elements", "11="+made, "typed", made)
		}
	}
	for _, ai := range []string{"01", "02", "8006"} {
		label.Article = cmp.Or(label.Article, of(ai))
	}
	for _, ai := range []string{"30", "37"} {
		if n, err := strconv.Atoi(of(ai)); err == nil { // At most eight digits.
			label.Quantity = cmp.Or(label.Quantity, n)
		}
	}
	return label, true, nil
}

func wrongElement(at *ident.ElementError) string {
	switch {
	case at.AI == "":
		return "gs1_unknown"
	case errors.Is(at, ident.ErrGS1Check):
		return "gs1_check"
	case errors.Is(at, ident.ErrGS1Date):
		return "gs1_date"
	case errors.Is(at, ident.ErrGS1Alone):
		return "gs1_alone"
	}
	return "gs1_form"
}

// fromLabels fills in what the scanned labels of a lot say. What somebody typed
// beside them stays.
func (s *Service) fromLabels(ctx context.Context, in *models.Lot, invalid *models.InvalidError) {
	if _, read, _ := s.gs1(ctx, "code", in.Code); read {
		invalid.Add("code", "gs1_for_code")
	}
	in.Code = ident.WithoutPrefix(in.Code)
	for _, x := range []struct {
		field string
		typed *string
	}{{"supplier_code", &in.SupplierCode}, {"date_code", &in.DateCode}} {
		label, read, err := s.gs1(ctx, x.field, *x.typed)
		var unclear *models.InvalidError
		switch {
		case errors.As(err, &unclear):
			invalid.Problems = append(invalid.Problems, unclear.Problems...)
			continue
		case !read:
			*x.typed = ident.WithoutPrefix(*x.typed)
			continue
		}
		*x.typed = ""
		in.SupplierCode, in.DateCode = cmp.Or(in.SupplierCode, label.Lot), cmp.Or(in.DateCode, label.Date)
		in.Quantity = cmp.Or(in.Quantity, label.Quantity)
		if label.Article == "" || strings.Contains(in.Description, label.Article) {
			continue
		}
		if whole := strings.TrimPrefix(strings.TrimSpace(in.Description)+", article "+label.Article, ", "); utf8.RuneCountInString(whole) <= longestText {
			in.Description = whole
		}
	}
}
