package capture

import (
	"context"
	"errors"
	"fmt"
	"slices"
	"strconv"
	"time"

	"tracewright/models"
	"tracewright/models/numbers/measure"
	"tracewright/models/trade/wheel"
)

// tensionDecimals is how finely a table's tension is kept: a tenth of a newton,
// far below what a gauge repeats.
const tensionDecimals = 1

// gaugeTables are those of the instruments named, asked for only where some set
// was read in divisions.
func (s *Service) gaugeTables(ctx context.Context, sub models.Submission, t target) ([]models.GaugeTable, error) {
	inDivisions := false
	for _, set := range sub.Sets {
		inDivisions = inDivisions || set.Unit == string(measure.Division)
	}
	if !inDivisions {
		return nil, nil
	}
	var ids []string
	for _, i := range t.Instruments {
		ids = append(ids, i.ID)
	}
	tables, err := s.store.GaugeTables(ctx, ids)
	if err != nil {
		return nil, fmt.Errorf("tables of the gauges: %w", err)
	}
	return tables, nil
}

// findTable finds the table that turns divisions into newtons: that of this
// gauge for the spokes of this product as it was when they were read, and no other.
func (p *parsed) findTable(tables []models.GaugeTable, form models.ProductForm, measured time.Time, invalid *models.InvalidError) bool {
	if p.instrument == nil {
		return false // Said already.
	}
	spoke := ""
	if form.Wheel != nil {
		spoke = form.Wheel.SpokeType
	}
	if spoke == "" {
		invalid.Add(p.field+".unit", "spoke_type_unknown", "instrument", p.instrument.Code)
		return false
	}
	found := models.GaugeTableFor(tables, p.instrument.ID, spoke, measured)
	if found == nil {
		invalid.Add(p.field+".instrument", "no_gauge_table", "instrument", p.instrument.Code, "spoke", spoke)
		return false
	}
	points := make([]wheel.TablePoint, len(found.Points))
	for i, x := range found.Points {
		reading, errR := strconv.ParseFloat(x.Reading, 64)
		tension, errT := strconv.ParseFloat(x.Tension, 64)
		if errR != nil || errT != nil {
			invalid.Add(p.field+".instrument", "no_gauge_table", "instrument", p.instrument.Code, "spoke", spoke)
			return false
		}
		points[i] = wheel.TablePoint{Reading: reading, TensionN: tension}
	}
	table, err := wheel.NewGaugeTable(p.instrument.Code, spoke, points)
	if err != nil {
		invalid.Add(p.field+".instrument", "no_gauge_table", "instrument", p.instrument.Code, "spoke", spoke)
		return false
	}
	p.table = table
	p.converted = make([]string, len(p.sent.Values))
	p.remarks = append(p.remarks, models.NewRemark("by_gauge_table", "instrument", p.instrument.Code, "spoke", found.SpokeType, "n", fmt.Sprint(found.N)))
	if found.EnteredAt.After(measured) {
		p.remarks = append(p.remarks, models.NewRemark("read_before_table", "instrument", p.instrument.Code, "spoke", found.SpokeType))
	}
	return true
}

// byTable reads a value through the table. Beyond its ends there is no tension: the
// set is kept as it was read, and nothing follows from it.
func (p *parsed) byTable(j int, typed string, value measure.Decimal) (code string, values []string) {
	n, err := p.table.Tension(value.Float())
	if errors.Is(err, wheel.ErrOutOfTable) {
		p.keepUnread()
		return "", nil
	}
	if err != nil {
		return "not_a_number", []string{"typed", models.Shortened(typed)}
	}
	tension, err := measure.Round(n, tensionDecimals)
	if err != nil {
		return "not_a_number", []string{"typed", models.Shortened(typed)}
	}
	p.set.Values[j] = tension
	if !p.unread {
		p.converted[j] = tension.String()
	}
	return "", nil
}

// keepUnread says of a set that one of its readings lies beyond the table.
func (p *parsed) keepUnread() {
	if !p.unread {
		p.unread, p.converted = true, nil
		p.remarks = append(p.remarks, models.NewRemark(models.BeyondTable, "instrument", p.instrument.Code, "spoke", p.table.SpokeType))
	}
}

// tablesOf are the tables that a stand may need: of the gauges of
// characteristics that may be read in divisions.
func (s *Service) tablesOf(ctx context.Context, instruments []models.Instrument, spec models.Specification) ([]models.GaugeTable, error) {
	kinds := map[string]bool{}
	for _, c := range spec.Characteristics {
		if slices.Contains(c.Units, string(measure.Division)) {
			kinds[c.Instrument] = true
		}
	}
	var ids []string
	for _, i := range instruments {
		if kinds[i.Kind] {
			ids = append(ids, i.ID)
		}
	}
	tables, err := s.store.GaugeTables(ctx, ids)
	if err != nil {
		return nil, fmt.Errorf("tables of the gauges: %w", err)
	}
	return tables, nil
}

// SpokeType is that of the product, empty where it is not said.
func (p Plan) SpokeType() string {
	if p.Form.Wheel == nil {
		return ""
	}
	return p.Form.Wheel.SpokeType
}
