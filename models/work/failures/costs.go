package failures

import (
	"cmp"
	"maps"
	"math/big"
	"slices"
	"strconv"
	"strings"

	"tracewright/models"
	"tracewright/models/numbers/stats"
)

// rateOf is what an hour costs, nil where the shop does not say.
func rateOf(settings map[string]string) *Rate {
	text := settings[models.SettingHourlyRate]
	amount, err := strconv.ParseFloat(text, 64)
	if err != nil || !(amount > 0) || settings[models.SettingRateCurrency] == "" {
		return nil
	}
	return &Rate{amount, text, settings[models.SettingRateCurrency]}
}

// costs adds up what claims cost and, where an hour has a price, what the minutes
// after first sets did. One currency is never added to another; as it was written,
// but for spaces and small letters.
func (v *View) costs(defects []models.DefectTally, book models.Defects, kind string) {
	type sums struct {
		amount  *big.Rat
		squares float64
		CostRow
		n        int
		decimals int
	}
	by := map[string]map[string]*sums{}
	at := func(currency, code string) *sums {
		if by[currency] == nil {
			by[currency] = map[string]*sums{}
		}
		if by[currency][code] == nil {
			by[currency][code] = &sums{amount: new(big.Rat), CostRow: CostRow{Code: code, Severity: book.Now(code).Severity}}
		}
		return by[currency][code]
	}
	for _, d := range defects {
		if d.Source == models.FromClaim && d.Priced > 0 && ofKind(d, kind) {
			row := at(currencyOf(d.Currency), d.Code)
			if amount, ok := new(big.Rat).SetString(d.Amount); ok {
				row.amount.Add(row.amount, amount)
				_, fraction, _ := strings.Cut(d.Amount, ".")
				row.decimals = max(row.decimals, len(fraction))
			}
			row.Claims, row.n, row.squares = row.Claims+d.Priced, row.n+d.Priced, row.squares+d.AmountSq
		}
		if d.Source == models.FromFirstSet && d.Rework > 0 && v.Rate != nil {
			row, minute := at(currencyOf(v.Rate.Currency), d.Code), v.Rate.Amount/60
			row.Minutes += d.Rework
			row.n, row.squares = row.n+d.Items, row.squares+minute*minute*d.ReworkSq
		}
	}
	for _, currency := range slices.Sorted(maps.Keys(by)) {
		cost := Cost{Currency: currency}
		for _, row := range by[currency] {
			amount, _ := row.amount.Float64()
			row.Total = amount
			if row.Claims > 0 {
				row.Amount = row.amount.FloatString(row.decimals)
			}
			if row.Minutes > 0 {
				row.Total += row.Minutes / 60 * v.Rate.Amount
			}
			if i, err := stats.SumInterval(row.Total, row.squares, row.n); err == nil {
				row.Low, row.High, row.Interval = i.Low, i.High, true
			}
			cost.Total += row.Total
			cost.Rows = append(cost.Rows, row.CostRow)
		}
		slices.SortFunc(cost.Rows, func(a, b CostRow) int { return cmp.Or(cmp.Compare(b.Total, a.Total), cmp.Compare(a.Code, b.Code)) })
		// Without an interval a bar's place is not settled against its neighbours.
		cost.Joined = joined(len(cost.Rows), func(i, j int) bool {
			a, b := cost.Rows[i], cost.Rows[j]
			return !a.Interval || !b.Interval || a.Low <= b.High
		})
		v.Costs = append(v.Costs, cost)
	}
}

func currencyOf(text string) string { return strings.ToUpper(models.OneLine(text)) }
