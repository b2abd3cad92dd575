package calc

import (
	"errors"
	"strings"
	"time"

	"tracewright/models/trade/genealogy"
)

// exampleRecords is a small shop: one lot of spokes in two wheels, one of them
// in a kit.
const exampleRecords = `"dataset":{"consumption":[{"input":"lot:SP-1","output":"W001","qty":36,"t":"2026-09-01T08:00:00Z"},{"input":"lot:SP-1","output":"W002","qty":36,"t":"2026-09-02T08:00:00Z"}],` +
	`"containment":[{"child":"W001","parent":"K001","action":"ADD","t":"2026-09-03T08:00:00Z"}],"shipments":[{"kit":"K001","customer":"c1","t":"2026-09-04T08:00:00Z"}],` +
	`"readings":[{"id":"r1","subject":"W001","instrument":"T-1","stand":"S1","operator":"op1","t":"2026-09-01T10:00:00Z"}],` +
	`"receipts":[{"lot":"lot:SP-1","received":100}],"scrap":[{"lot":"lot:SP-1","qty":2}],"stock":[{"lot":"lot:SP-1","counted":26}]}`

// genealogyKinds are questions about where parts came from and went. Each has
// the records with it.
var genealogyKinds = []Kind{
	{
		Name:    "where_used",
		Does:    "every item that holds a lot or part, through all levels, and of wheels and packs the kit and the customer",
		Source:  "closure of a directed graph by depth-first search; events as in ISO/IEC 19987",
		Example: `{"lot":"lot:SP-1",` + exampleRecords + `}`,
		Run:     of(whereUsed),
	},
	{
		Name:    "trace_back",
		Does:    "every lot, part and item that went into an item, through all levels",
		Source:  "as where_used, the other way",
		Example: `{"item":"W001",` + exampleRecords + `}`,
		Run:     of(traceBack),
	},
	{
		Name:    "kit_trace_back",
		Does:    "what a kit holds at a moment, and what went into that",
		Source:  "as trace_back; contents are the moves up to the moment",
		Example: `{"kit":"K001","at":"2026-12-31T00:00:00Z",` + exampleRecords + `}`,
		Run:     of(kitTraceBack),
	},
	{
		Name:    "by_instrument_window",
		Does:    "items measured with an instrument after one moment and up to another",
		Source:  "ISO 9001:2015, 7.1.5.2; window open at its start and closed at its end, our own definition",
		Example: `{"instrument":"T-1","after":"2026-08-01T00:00:00Z","until":"2026-10-01T00:00:00Z",` + exampleRecords + `}`,
		Run:     of(byInstrumentWindow),
	},
	{
		Name:    "by_operator_stand_window",
		Does:    "items that a person measured at a stand from one moment on and before another",
		Source:  "our own definition",
		Example: `{"operator":"op1","stand":"S1","from":"2026-09-01T00:00:00Z","until":"2026-10-01T00:00:00Z",` + exampleRecords + `}`,
		Run:     of(byOperatorStandWindow),
	},
	{
		Name:    "mass_balance",
		Does:    "of each lot that was counted, what should be left and what is missing",
		Source:  "expected = received - consumed - scrapped - returned; difference = counted - expected",
		Example: `{` + exampleRecords + `}`,
		Run:     of(massBalance),
	},
}

type records struct {
	Consumption []useRecord      `json:"consumption"`
	Containment []moveRecord     `json:"containment,omitempty"`
	Shipments   []shipmentRecord `json:"shipments,omitempty"`
	Readings    []readingRecord  `json:"readings,omitempty"`
	Receipts    []receiptRecord  `json:"receipts,omitempty"`
	Scrap       []pieceRecord    `json:"scrap,omitempty"`
	Returned    []pieceRecord    `json:"returned,omitempty"`
	Stock       []stockRecord    `json:"stock,omitempty"`
}

type useRecord struct {
	Input    string    `json:"input"`
	Output   string    `json:"output"`
	Quantity int       `json:"qty"`
	At       time.Time `json:"t,omitempty"`
	Stand    string    `json:"stand,omitempty"`
	Operator string    `json:"operator,omitempty"`
}

type moveRecord struct {
	Child  string    `json:"child"`
	Parent string    `json:"parent"`
	Action string    `json:"action"` // ADD or DELETE
	At     time.Time `json:"t"`
}

type shipmentRecord struct {
	Kit      string    `json:"kit"`
	Customer string    `json:"customer"`
	At       time.Time `json:"t,omitempty"`
}

type readingRecord struct {
	ID         string    `json:"id,omitempty"`
	Subject    string    `json:"subject"`
	Instrument string    `json:"instrument"`
	Stand      string    `json:"stand,omitempty"`
	Operator   string    `json:"operator,omitempty"`
	At         time.Time `json:"t"`
}

type receiptRecord struct {
	Lot      string `json:"lot"`
	Received int    `json:"received"`
}

type pieceRecord struct {
	Lot      string `json:"lot"`
	Quantity int    `json:"qty"`
	Reason   string `json:"reason,omitempty"`
}

type stockRecord struct {
	Lot     string `json:"lot"`
	Counted int    `json:"counted"`
}

func (r records) uses() []genealogy.Use {
	out := make([]genealogy.Use, len(r.Consumption))
	for i, u := range r.Consumption {
		out[i] = genealogy.Use{Input: u.Input, Output: u.Output, Quantity: u.Quantity}
	}
	return out
}

func (r records) moves() ([]genealogy.Move, error) {
	out := make([]genealogy.Move, len(r.Containment))
	for i, m := range r.Containment {
		if m.Action != "ADD" && m.Action != "DELETE" {
			return nil, refuse("dataset.containment", errors.New("an action is ADD or DELETE"))
		}
		out[i] = genealogy.Move{Child: m.Child, Parent: m.Parent, Added: m.Action == "ADD", At: m.At}
	}
	return out, nil
}

func (r records) handled() []genealogy.Handled {
	out := make([]genealogy.Handled, len(r.Readings))
	for i, x := range r.Readings {
		out[i] = genealogy.Handled{Item: x.Subject, Instrument: x.Instrument, Place: x.Stand, Person: x.Operator, At: x.At}
	}
	return out
}

type whereUsedInput struct {
	Dataset records `json:"dataset"`
	Lot     string  `json:"lot"`
}

type whereUsedAnswer struct {
	Items  []string    `json:"items"`
	Recall []recallRow `json:"recall"`
	Loops  [][]string  `json:"loops,omitempty"`
}

type recallRow struct {
	Item     string  `json:"item"`
	Kit      *string `json:"kit"`      // null: in none
	Customer *string `json:"customer"` // null: in the shop
}

func whereUsed(in whereUsedInput) (whereUsedAnswer, error) {
	moves, err := in.Dataset.moves()
	if err != nil {
		return whereUsedAnswer{}, err
	}
	shipped := map[string]string{}
	for _, s := range in.Dataset.Shipments {
		shipped[s.Kit] = s.Customer
	}
	found := genealogy.NewGraph(in.Dataset.uses()).Outputs(in.Lot)
	out := whereUsedAnswer{Items: listed(found.Reached), Recall: []recallRow{}, Loops: found.Loops}
	for _, item := range found.Reached {
		if !strings.HasPrefix(item, "W") && !strings.HasPrefix(item, "P") {
			continue // What is built into those is called back with them.
		}
		row := recallRow{Item: item}
		if kit := genealogy.Holder(moves, item); kit != "" {
			row.Kit = &kit
			if customer, ok := shipped[kit]; ok {
				row.Customer = &customer
			}
		}
		out.Recall = append(out.Recall, row)
	}
	return out, nil
}

type traceBackInput struct {
	Dataset records `json:"dataset"`
	Item    string  `json:"item"`
}

type sourcesAnswer struct {
	Contains *[]string  `json:"contains,omitempty"`
	Sources  []string   `json:"sources"`
	Loops    [][]string `json:"loops,omitempty"`
}

func traceBack(in traceBackInput) (sourcesAnswer, error) {
	found := genealogy.NewGraph(in.Dataset.uses()).Sources(in.Item)
	return sourcesAnswer{Sources: listed(found.Reached), Loops: found.Loops}, nil
}

type kitTraceBackInput struct {
	Dataset records   `json:"dataset"`
	Kit     string    `json:"kit"`
	At      time.Time `json:"at"`
}

func kitTraceBack(in kitTraceBackInput) (sourcesAnswer, error) {
	moves, err := in.Dataset.moves()
	if err != nil {
		return sourcesAnswer{}, err
	}
	contents := listed(genealogy.Contents(moves, in.Kit, in.At))
	found := genealogy.NewGraph(in.Dataset.uses()).Sources(contents...)
	return sourcesAnswer{Contains: &contents, Sources: listed(found.Reached), Loops: found.Loops}, nil
}

type subjectsAnswer struct {
	Subjects []string `json:"subjects"`
}

type instrumentWindowInput struct {
	Dataset    records   `json:"dataset"`
	Instrument string    `json:"instrument"`
	After      time.Time `json:"after"`
	Until      time.Time `json:"until"`
}

func byInstrumentWindow(in instrumentWindowInput) (subjectsAnswer, error) {
	return subjectsAnswer{listed(genealogy.ByInstrument(in.Dataset.handled(), in.Instrument, in.After, in.Until))}, nil
}

type operatorWindowInput struct {
	Dataset  records   `json:"dataset"`
	Operator string    `json:"operator"`
	Stand    string    `json:"stand,omitempty"`
	From     time.Time `json:"from"`
	Until    time.Time `json:"until"`
}

func byOperatorStandWindow(in operatorWindowInput) (subjectsAnswer, error) {
	return subjectsAnswer{listed(genealogy.ByPerson(in.Dataset.handled(), in.Operator, in.Stand, in.From, in.Until))}, nil
}

type balanceInput struct {
	Dataset records `json:"dataset"`
}

type balanceAnswer struct {
	Rows []balanceRow `json:"rows"`
}

type balanceRow struct {
	Lot        string `json:"lot"`
	Received   int    `json:"received"`
	Consumed   int    `json:"consumed"`
	Scrapped   int    `json:"scrapped"`
	Returned   int    `json:"returned,omitempty"`
	Expected   int    `json:"expected"`
	Counted    int    `json:"counted"`
	Difference int    `json:"difference"`
}

func massBalance(in balanceInput) (balanceAnswer, error) {
	r := in.Dataset
	pieces := func(list []pieceRecord) []genealogy.Count {
		out := make([]genealogy.Count, len(list))
		for i, p := range list {
			out[i] = genealogy.Count{Lot: p.Lot, Quantity: p.Quantity}
		}
		return out
	}
	var received, counted []genealogy.Count
	for _, x := range r.Receipts {
		received = append(received, genealogy.Count{Lot: x.Lot, Quantity: x.Received})
	}
	for _, x := range r.Stock {
		counted = append(counted, genealogy.Count{Lot: x.Lot, Quantity: x.Counted})
	}
	out := balanceAnswer{Rows: []balanceRow{}}
	for _, b := range genealogy.Balances(received, r.uses(), pieces(r.Scrap), pieces(r.Returned), counted) {
		out.Rows = append(out.Rows, balanceRow(b))
	}
	return out, nil
}

// listed is a list that is never null.
func listed(list []string) []string { return append([]string{}, list...) }
