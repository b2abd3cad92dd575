package specify_test

import (
	"maps"
	"testing"

	"tracewright/models"
	"tracewright/models/work/specify"
	"tracewright/models/work/worktest"
)

// strictPack is a family of packs made with a typical form, and in it a pack of
// blocks whose model asks for 12.95 V and 0.020 V between them.
func strictPack(t *testing.T, h *worktest.Shop, s *specify.Service) (specify.FamilyView, specify.ProductView) {
	t.Helper()
	ctx := t.Context()
	blocks, err := s.AddFamily(ctx, h.Owner, specify.NewFamily{Kind: models.KindBlock, Name: "Blocks"})
	h.Must(err)
	b := goodBlock()
	b.Limits = map[string]string{"ship_ocv_min_a_v": "13.00", "ship_ocv_min_b_v": "12.95", "spread_ocv_a_v": "0.010", "spread_ocv_b_v": "0.020"}
	model, err := s.AddProduct(ctx, h.Owner, specify.NewProduct{FamilyID: blocks.Family.ID, Name: "Halden 12-12", Form: models.ProductForm{Block: b}})
	h.Must(err)
	typical := &models.PackForm{Chemistry: "agm_small", Cells: 6, Strings: 2, Blocks: 2}
	packs, err := s.AddFamily(ctx, h.Owner, specify.NewFamily{Kind: models.KindPack, Name: "Small packs", Form: models.ProductForm{Pack: typical}})
	h.Must(err)
	product, err := s.AddProduct(ctx, h.Owner, specify.NewProduct{FamilyID: packs.Family.ID, Name: "24 V", Form: models.ProductForm{Pack: &models.PackForm{BlockProduct: model.Product.ID, Strings: 1, Blocks: 2}}})
	h.Must(err)
	return packs, product
}

func limits(s models.Specification) map[string]string {
	out := map[string]string{}
	for _, c := range s.Characteristics {
		for _, l := range c.Results {
			out[l.Result] = l.Low + l.High
		}
	}
	return out
}

// change gives a copy of a list with one limit another.
func change(list []models.Characteristic, result, low, high string) []models.Characteristic {
	out := make([]models.Characteristic, len(list))
	for i, c := range list {
		out[i] = c
		out[i].Results = append([]models.Limit(nil), c.Results...)
		for k := range out[i].Results {
			if l := &out[i].Results[k]; l.Result == result {
				l.Low, l.High = low, high
			}
		}
	}
	return out
}

func TestABlockModelsLimitsAreNeverLost(t *testing.T) {
	each(t, func(t *testing.T, h *worktest.Shop, s *specify.Service) {
		ctx := t.Context()
		packs, product := strictPack(t, h, s)
		if got := limits(product.InForce); got["ocv_lowest"] != "12.95" || got["ocv_spread"] != "0.020" || got["string_difference"] != "" {
			t.Errorf("judged by %v", got)
		}
		// What the owner loosens below the model is refused by its name.
		in := specify.SpecificationChange{FamilyID: packs.Family.ID, ProductID: &product.Product.ID, From: product.InForce.Revision, Grade: "B", Reason: "too strict",
			Characteristics: change(product.InForce.Characteristics, "ocv_spread", "", "0.09")}
		_, err := s.ReviseSpecification(ctx, h.Owner, in)
		worktest.WantProblems(t, err, "characteristics[0].results[1].high: looser_than_model")
		in.Characteristics = change(product.InForce.Characteristics, "ocv_spread", "", "0.015")
		_, err = s.ReviseSpecification(ctx, h.Owner, in)
		h.Must(err)
	})
}

// A product that the family's limits fitted keeps its model's when the family's
// are loosened.
func TestAFamilysLimitsAreLoosened(t *testing.T) {
	each(t, func(t *testing.T, h *worktest.Shop, s *specify.Service) {
		ctx := t.Context()
		_, strict := strictPack(t, h, s)
		form := strict.Form.Form
		packs, err := s.AddFamily(ctx, h.Owner, specify.NewFamily{Kind: models.KindPack, Name: "Strict packs", Form: form})
		h.Must(err)
		again := *form.Pack
		again.Limits = maps.Clone(form.Pack.Limits)
		product, err := s.AddProduct(ctx, h.Owner, specify.NewProduct{FamilyID: packs.Family.ID, Name: "strict", Form: models.ProductForm{Pack: &again}})
		h.Must(err)
		if product.Own {
			t.Fatal("the family's limits are the product's already")
		}
		_, err = s.ReviseSpecification(ctx, h.Owner, specify.SpecificationChange{FamilyID: packs.Family.ID, From: 1, Grade: "B", Reason: "looser", AppliesToStock: true,
			Characteristics: change(packs.Specifications[0].Characteristics, "ocv_spread", "", "0.15")})
		h.Must(err)
		product, err = s.Product(ctx, product.Product.ID)
		h.Must(err)
		if got := limits(product.InForce)["ocv_spread"]; got != "0.020" || !product.InForce.AppliesToStock {
			t.Errorf("judged by a spread of %s V, %+v", got, product.InForce.AppliesToStock)
		}
	})
}
