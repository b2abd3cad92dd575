package api

import (
	"net/http"
	"time"

	"github.com/gin-gonic/gin"

	"tracewright/models"
	"tracewright/models/words"
	"tracewright/models/work/stock"
	"tracewright/server/httpx"
)

// sentBlocks is a list of blocks with their readings, as it is sent.
type sentBlocks struct {
	Model       string    `json:"model"` // product of the block model
	Lot         string    `json:"lot"`   // its code
	Stage       string    `json:"stage"`
	MeasuredAt  time.Time `json:"measured_at"`
	SentAt      time.Time `json:"sent_at"`
	Person      string    `json:"person"`
	Place       string    `json:"place"`
	DateCode    string    `json:"date_code"`
	RestHours   string    `json:"rest_hours"`
	OnCharger   bool      `json:"on_charger"`
	LoadA       string    `json:"load_a"`
	Note        string    `json:"note"`
	Temperature string    `json:"temperature_c"`
	Gauges      struct {
		Voltage     string `json:"voltage"`
		Resistance  string `json:"resistance"`
		Temperature string `json:"temperature"`
	} `json:"gauges"`
	VoltageUnit    string         `json:"voltage_unit"`
	ResistanceUnit string         `json:"resistance_unit"`
	Method         string         `json:"method"`
	CaseSound      string         `json:"case_sound"`
	Rows           []sentBlockRow `json:"rows"`
}

type sentBlockRow struct {
	ID             string `json:"id"`
	Number         string `json:"number"`
	Count          int    `json:"count"`
	DateCode       string `json:"date_code"`
	Voltage        string `json:"voltage"`
	Resistance     string `json:"resistance"`
	ResistanceUnit string `json:"resistance_unit"`
	Method         string `json:"method"`
	Temperature    string `json:"temperature_c"`
	CaseSound      string `json:"case_sound"`
	AsTyped        bool   `json:"as_typed"`
}

// takenRow is what became of one row.
type takenRow struct {
	Row          string      `json:"row"`
	New          bool        `json:"new"`
	Blocks       []blockName `json:"blocks"`
	InspectionID string      `json:"inspection_id,omitempty"`
	Verdict      string      `json:"verdict,omitempty"`
	MadeOn       string      `json:"made_on,omitempty"`
	SetAside     bool        `json:"set_aside"`
	Remarks      []remark    `json:"remarks"`
}

// blockName is a block as people name it.
type blockName struct {
	ID     string `json:"id"`
	Serial string `json:"serial,omitempty"`
	Number string `json:"number,omitempty"` // the maker's
	Print  string `json:"print"`
}

func blockNameOf(i models.Item) blockName {
	n := blockName{ID: i.ID, Print: words.Serial(i.Name())}
	if i.Serial != nil {
		n.Serial = *i.Serial
	}
	if i.MakerNumber != nil {
		n.Number, n.Print = *i.MakerNumber, *i.MakerNumber
	}
	return n
}

// takeInBlocks takes a list of blocks in, with their incoming or second readings.
func (a *api) takeInBlocks(c *gin.Context) error {
	var in sentBlocks
	if err := httpx.DecodeJSON(c, &in); err != nil {
		return err
	}
	d := stock.Delivery{Model: in.Model, Lot: in.Lot, Stage: in.Stage, MeasuredAt: in.MeasuredAt, SentAt: in.SentAt, Person: in.Person, Place: in.Place, DateCode: in.DateCode,
		Conditions:  models.Conditions{RestHours: in.RestHours, OnCharger: in.OnCharger, LoadA: in.LoadA, Note: in.Note},
		Temperature: in.Temperature, Gauges: stock.Gauges{Voltage: in.Gauges.Voltage, Resistance: in.Gauges.Resistance, Temperature: in.Gauges.Temperature},
		VoltageUnit: in.VoltageUnit, ResistanceUnit: in.ResistanceUnit, Method: in.Method, CaseSound: in.CaseSound, Rows: make([]stock.Row, len(in.Rows))}
	for i, r := range in.Rows {
		d.Rows[i] = stock.Row{ID: r.ID, Number: r.Number, Count: r.Count, DateCode: r.DateCode, Voltage: r.Voltage, Resistance: r.Resistance, ResistanceUnit: r.ResistanceUnit,
			Method: r.Method, Temperature: r.Temperature, CaseSound: r.CaseSound, AsTyped: r.AsTyped}
	}
	taken, err := a.services.Stock.TakeIn(c.Request.Context(), httpx.Actor(c), d)
	if err != nil {
		return err
	}
	status := http.StatusOK
	rows := make([]takenRow, len(taken))
	for i, t := range taken {
		rows[i] = takenRow{Row: t.Row, New: t.New, MadeOn: t.MadeOn, SetAside: t.SetAside != nil, Remarks: remarks(t.Remarks), Blocks: make([]blockName, len(t.Blocks))}
		for k, b := range t.Blocks {
			rows[i].Blocks[k] = blockNameOf(b)
		}
		if t.Inspection != nil {
			rows[i].InspectionID, rows[i].Verdict = t.Inspection.ID, t.Inspection.Verdict
		}
		if t.New {
			status = http.StatusCreated
		}
	}
	return answer(c, status, gin.H{"rows": rows})
}
