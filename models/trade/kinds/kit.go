package kinds

import (
	"tracewright/models"
	"tracewright/models/trade/ident"
)

// kitKind is a box of wheels, packs and small parts. Nothing is measured on it:
// what goes out in it was judged by itself, and what is in it is ticked off as
// it is packed.
var kitKind = Kind{
	Name:   models.KindKit,
	Letter: ident.Kit,
	Stages: []Stage{{Name: models.Packing}},
	Grades: []string{"standard"},
	characteristics: func(string, models.ProductForm) ([]models.Characteristic, error) {
		return []models.Characteristic{}, nil
	},
	place:  func(models.ProductForm, *Set) *models.Remark { return nil },
	reduce: func(Input) (Reduction, error) { return Reduction{Unjudged: true}, nil },
}
