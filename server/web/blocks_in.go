package web

import (
	"context"
	"encoding/json"
	"fmt"
	"slices"
	"time"

	"github.com/gin-gonic/gin"

	"tracewright/models"
	"tracewright/models/trade/pack"
	"tracewright/models/work/gauges"
)

// blocksGiven is what the page that takes blocks in is given beside the public
// interface: the models, the lots of blocks, and the gauges in use.
type blocksGiven struct {
	Models  []givenModel            `json:"models"`
	Lots    []string                `json:"lots"` // the last received first
	Gauges  map[string][]givenGauge `json:"gauges"`
	Asked   givenAsked              `json:"asked"`
	Caution string                  `json:"caution"`
}

type givenModel struct {
	ID        string `json:"id"`
	Name      string `json:"name"`
	Chemistry string `json:"chemistry"`
	Cells     int    `json:"cells"`
	Low       string `json:"low"` // window of resistance, milliohm
	High      string `json:"high"`
	Method    string `json:"method"`
	DateCode  string `json:"date_code"` // how its maker writes it; empty: not known
}

type givenGauge struct {
	Code    string `json:"code"`
	Name    string `json:"name"`
	Overdue bool   `json:"overdue"`
}

// givenAsked is what the address asks for.
type givenAsked struct {
	Model string `json:"model"`
	Lot   string `json:"lot"`
	Stage string `json:"stage"`
}

// mostLots is how many lots are offered to choose from.
const mostLots = 40

// blocksIn is the page that takes blocks in; ?model=, ?lot= and ?stage= say of
// which.
func (s *site) blocksIn(c *gin.Context) error {
	given, err := s.blocksGiven(c.Request.Context())
	if err != nil {
		return err
	}
	given.Asked = givenAsked{c.Query("model"), c.Query("lot"), c.Query("stage")}
	page, err := blocksInPage(s.frame(c, "Take blocks in", "/blocks"), given)
	if err != nil {
		return err
	}
	return s.floor(c, "blocks_in", page)
}

func blocksInPage(frame Frame, given blocksGiven) (FloorPage, error) {
	raw, err := json.Marshal(given)
	if err != nil {
		return FloorPage{}, fmt.Errorf("what the page of blocks is given: %w", err)
	}
	return FloorPage{Frame: frame, Title: "Take blocks in", Lead: "Scan a", Thing: "block", Picture: "Blocks of this sitting", Sets: "What holds for all of them", Script: "blocks-in.js", Keys: padKeys, Given: string(raw),
		Caution: english.Caution("short_circuit")}, nil
}

func (s *site) blocksGiven(ctx context.Context) (blocksGiven, error) {
	given := blocksGiven{Models: []givenModel{}, Lots: []string{}, Gauges: map[string][]givenGauge{}, Caution: english.Caution("short_circuit") + " " + english.Caution("makers_data_first")}
	products, err := s.blockProducts(ctx)
	if err != nil {
		return given, err
	}
	lead := false
	for _, p := range products {
		v, err := s.services.Specify.Product(ctx, p.ID)
		if err != nil {
			return given, err
		}
		if b := v.Form.Form.Block; b != nil {
			lead = lead || pack.Chemistry(b.Chemistry).LeadAcid()
			given.Models = append(given.Models, givenModel{p.ID, p.Name, b.Chemistry, b.Cells, b.ResistanceLow, b.ResistanceHigh, b.ResistanceMethod, b.DateCode})
		}
	}
	if lead {
		given.Caution = english.Caution("acid") + " " + given.Caution
	}
	lots, err := s.services.Receive.Lots(ctx)
	if err != nil {
		return given, err
	}
	for _, l := range lots {
		if l.Material == "blocks" && len(given.Lots) < mostLots {
			given.Lots = append(given.Lots, l.Code)
		}
	}
	instruments, err := s.services.Gauges.Instruments(ctx)
	if err != nil {
		return given, err
	}
	for name, kind := range map[string]string{"voltage": "voltmeter", "resistance": "resistance_meter", "temperature": "thermometer"} {
		given.Gauges[name] = gaugesOf(instruments, kind, s.now().Format(time.DateOnly))
	}
	return given, nil
}

// gaugesOf are those of a kind that are in use, the ones in date first.
func gaugesOf(instruments []gauges.InstrumentView, kind, today string) []givenGauge {
	list := []givenGauge{}
	for _, i := range instruments {
		if i.Instrument.Kind == kind && i.Instrument.State == models.InstrumentInUse {
			list = append(list, givenGauge{i.Instrument.Code, i.Instrument.Name, i.Instrument.DueOn != "" && i.Instrument.DueOn < today})
		}
	}
	slices.SortStableFunc(list, func(a, b givenGauge) int {
		switch {
		case a.Overdue == b.Overdue:
			return 0
		case b.Overdue:
			return -1
		}
		return 1
	})
	return list
}
