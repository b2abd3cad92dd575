package calc

import (
	"fmt"
	"maps"
	"slices"
	"strconv"

	"tracewright/models/numbers/life"
)

type triangleInput struct {
	Shipped map[string]int            `json:"shipped_by_month"`
	Returns map[string]map[string]int `json:"returns_by_ship_month_and_age"`
	AsOf    int                       `json:"as_of_month"` // The last complete month.
}

type triangleAnswer struct {
	Rows []triangleRow `json:"rows"`
}

type triangleRow struct {
	Age          int        `json:"age"`
	AtRisk       int        `json:"at_risk"`
	Returns      int        `json:"returns"`
	Hazard       float64    `json:"hazard"`
	HazardBounds [2]float64 `json:"hazard_ci95"`
	Cumulative   float64    `json:"cum_F"`
	// Bounds of cum_F; null while nothing, or once everything, has come back.
	Bounds *[2]float64 `json:"cum_F_ci95"`
}

func returnsTriangle(in triangleInput) (triangleAnswer, error) {
	shipments, err := in.shipments()
	if err != nil {
		return triangleAnswer{}, err
	}
	rows, err := life.Triangle(shipments, in.AsOf, confidence95)
	if err != nil {
		return triangleAnswer{}, argument("", "shipped_by_month", err,
			"shipped", "shipped_by_month", "returns", "returns_by_ship_month_and_age", "as of", "as_of_month")
	}
	answer := triangleAnswer{Rows: []triangleRow{}}
	for _, r := range rows {
		row := triangleRow{
			Age: r.Age, AtRisk: r.AtRisk, Returns: r.Returns, Hazard: r.Hazard, Cumulative: r.Cumulative,
			HazardBounds: [2]float64{r.HazardBounds.Low, r.HazardBounds.High},
		}
		if r.Bounded {
			row.Bounds = &[2]float64{r.Bounds.Low, r.Bounds.High}
		}
		answer.Rows = append(answer.Rows, row)
	}
	return answer, nil
}

func (in triangleInput) shipments() ([]life.Shipped, error) {
	const returns = "returns_by_ship_month_and_age"
	for _, text := range slices.Sorted(maps.Keys(in.Returns)) {
		if _, shipped := in.Shipped[text]; !shipped {
			return nil, &Failure{Field: join(returns, short(text)), Problem: "nothing was shipped in that month"}
		}
	}
	var shipments []life.Shipped
	for _, text := range slices.Sorted(maps.Keys(in.Shipped)) {
		month, err := monthOf("shipped_by_month", text)
		if err != nil {
			return nil, err
		}
		shipment := life.Shipped{Month: month, Units: in.Shipped[text], Returns: map[int]int{}}
		for _, ageText := range slices.Sorted(maps.Keys(in.Returns[text])) {
			age, err := monthOf(join(returns, short(text)), ageText)
			if err != nil {
				return nil, err
			}
			shipment.Returns[age] = in.Returns[text][ageText]
		}
		shipments = append(shipments, shipment)
	}
	return shipments, nil
}

// monthOf reads a name that stands for a month, written in one way only, so
// that no two names are one month.
func monthOf(field, text string) (int, error) {
	month, err := strconv.Atoi(text)
	if err != nil || strconv.Itoa(month) != text {
		return 0, &Failure{Field: join(field, short(text)), Problem: fmt.Sprintf("%.20q must be a whole number", text)}
	}
	return month, nil
}

// short cuts a name that somebody typed.
func short(text string) string { return fmt.Sprintf("%.20s", text) }
