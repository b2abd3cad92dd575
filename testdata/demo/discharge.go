package demo

import (
	"crypto/sha256"
	"encoding/hex"
	"encoding/json"
	"fmt"
	"math"
	"strconv"
	"time"

	"tracewright/models"
)

// A discharge of the shop's: hours until each block is empty, the first of them
// ends it; a row every ten minutes.
var emptied = []float64{20.7, 20.2, 19.9, 20.9, 20.4}

const (
	rowsAnHour = 6
	fullV      = 12.72 // under the load
	emptyV     = 10.5  // of a block of six cells, at the twenty-hour rate
)

// planDischarge has a pack of late discharged, charged again and left to rest.
func (m *maker) planDischarge() {
	if len(m.days) < 4 {
		return // too small a shop
	}
	m.plan(on(m.days[len(m.days)-3], 8, 20), func() error {
		p, ok := m.takeOfBlocks(len(emptied))
		if !ok {
			return nil
		}
		began := m.clock
		m.plan(on(began.AddDate(0, 0, 1), 8, 20), func() error { return m.discharged(p, began) })
		return nil
	})
}

// takeOfBlocks finds a lead pack of so many blocks, in one string, that stands
// and was read some weeks ago.
func (m *maker) takeOfBlocks(n int) (stood, bool) {
	for i, p := range m.shelves.on {
		f := p.work.form.Pack
		age := m.clock.Sub(p.read).Hours() / 24
		if f.Strings == 1 && f.Blocks == n && f.Chemistry == "agm" && age > 15 && age < 44 {
			m.shelves.on = append(m.shelves.on[:i:i], m.shelves.on[i+1:]...)
			return p, true
		}
	}
	return stood{}, false
}

func (m *maker) discharged(p stood, began time.Time) error {
	ah, err := strconv.ParseFloat(p.work.form.Pack.CapacityAh, 64)
	if err != nil {
		return fmt.Errorf("capacity of %s: %w", p.work.form.Pack.BlockModel, err)
	}
	log, err := json.Marshal(m.dischargeLog(ah / 20))
	if err != nil {
		return err
	}
	sum := sha256.Sum256(log)
	t := models.CapacityTest{ID: m.newID(), ItemID: p.work.item.ID, StartedAt: began, TemperatureC: "21.0", RatedAh: p.work.form.Pack.CapacityAh, CutOffV: "10.50", CoefPerK: "0.006", ReferenceC: "25",
		Strings: 1, AcceptPct: "95", Log: string(log), LogHash: hex.EncodeToString(sum[:])}
	if _, err := m.store.AddCapacityTest(m.ctx, m.stamp(m.people.packs), t); err != nil {
		return err
	}
	if err := m.place(p, "rack C 1"); err != nil {
		return err
	}
	c := models.Charge{ID: m.newID(), ItemID: p.work.item.ID, Kind: models.ChargeRefresh, Charger: "CH-1", StartedAt: m.clock}
	if _, err := m.store.AddCharge(m.ctx, m.stamp(m.people.packs), c); err != nil {
		return err
	}
	m.plan(m.clock.Add(9*time.Hour), func() error {
		return m.store.EndCharge(m.ctx, m.stamp(m.people.packs), models.ChargeEnd{ChargeID: c.ID, EndedAt: m.clock, EndCurrent: "0.09"})
	})
	return nil
}

// dischargeLog is a slow fall with a knee at its end.
func (m *maker) dischargeLog(amps float64) models.CapacityLog {
	log := models.CapacityLog{Volts: make([][]string, len(emptied))}
	for row := range 20*rowsAnHour + 1 {
		hours := float64(row) / rowsAnHour
		log.Hours = append(log.Hours, strconv.FormatFloat(hours, 'f', 3, 64))
		log.Amps = append(log.Amps, strconv.FormatFloat(amps*(1+m.shelves.random.between(-0.002, 0.002)), 'f', 3, 64))
		for b, end := range emptied {
			x := hours / end
			volts := fullV - (fullV-emptyV)*(0.45*x+0.55*math.Pow(x, 9)) + m.shelves.random.between(-0.002, 0.002)
			log.Volts[b] = append(log.Volts[b], strconv.FormatFloat(volts, 'f', 3, 64))
		}
	}
	return log
}
