package calc

import (
	"slices"

	"tracewright/models/numbers/measure"
	"tracewright/models/trade/pack"
)

// packKinds are the calculations on battery blocks and packs, subject by
// subject; the functions of storage and of strings stand in files of their own.
var packKinds = slices.Concat(packReadingKinds, packHealthKinds, packWiringKinds, packSafetyKinds, packMatchKinds)

// packReadingKinds are those on readings, strings and storage.
var packReadingKinds = []Kind{
	{
		Name:    "reading_gate",
		Does:    "whether a voltage counts as open-circuit voltage, and every reason against it",
		Source:  "rest as makers ask for it; surface charge above 2.18 V a cell common practice, no source",
		Example: `{"chemistry":"agm","rest_h":3,"min_rest_h":24,"on_charger":false,"load_A":0,"ocv_V":13.22}`,
		Run:     of(readingGate),
	},
	{
		Name:    "ocv_to_25C",
		Does:    "open-circuit voltage of a block corrected to 25 degrees",
		Source:  "Bode 1977 and Berndt, quoted from memory: 0.2 mV/K a cell",
		Example: `{"ocv_V":12.90,"temp_C":10,"cells":6,"coef_V_per_K_cell":0.0002}`,
		Run:     of(ocvTo25),
	},
	{
		Name:    "ocv_to_soc",
		Does:    "state of charge of a rested block from its voltage at 25 degrees",
		Source:  "flooded: widely printed table; absorbed glass mat and gel: makers' tables from memory; small blocks: common practice, no source",
		Example: `{"chemistry":"agm","ocv25_V":12.72,"cells":6}`,
		Run:     of(ocvToSoC),
	},
	{
		Name:    "sg_to_ocv",
		Does:    "rest voltage of a lead-acid cell and block from the specific gravity of its acid",
		Source:  "published rule of thumb, quoted from memory: gravity + 0.84 (some texts 0.845)",
		Example: `{"sg":1.265,"constant":0.84,"cells":6}`,
		Run:     of(sgToOCV),
	},
	{
		Name:    "ir_to_25C",
		Does:    "resistance corrected to 25 degrees",
		Source:  "common practice, no source: -0.5 % per K between 5 and 40 degrees",
		Example: `{"R_mohm":15.8,"temp_C":10,"coef_per_K":-0.005}`,
		Run:     of(irTo25),
	},
	{
		Name:    "ir_unit_guess",
		Does:    "in which unit a resistance was probably typed, to be offered to the person",
		Source:  "common practice, no source: half to twice the window of the model",
		Example: `{"entered":0.0152,"expected_low_mohm":12,"expected_high_mohm":20}`,
		Run:     of(irUnitGuess),
	},
	{
		Name:    "two_point_ir",
		Does:    "direct-current resistance, short-circuit current and extrapolated voltage from two loads",
		Source:  "IEC 60896-21 cl. 6.3, formula quoted from memory",
		Example: `{"C10_Ah":11.2,"I1_A":4.48,"U1_V":12.62,"I2_A":22.4,"U2_V":12.33}`,
		Run:     of(twoPointIR),
	},
	{
		Name:    "pack_spread",
		Does:    "grade of a pack by the spread of its blocks' voltages and resistances",
		Source:  "common practice, no source; equal to the limit passes",
		Example: `{"ocv25_V":[12.88,12.86,12.91],"R25_mohm":[14.1,14.6,13.9],"cells_per_block":6}`,
		Run:     of(packSpread),
	},
	{
		Name:    "ready_to_ship",
		Does:    "whether a pack is ready to ship by its lowest block and its range: A, B, rework or quarantine",
		Source:  "common practice, no source; equal to the limit passes",
		Example: `{"chemistry":"agm_small","ocv25_V":[12.93,12.91,12.95],"cells_per_block":6}`,
		Run:     of(readyToShip),
	},
	{
		Name:    "series_sum",
		Does:    "voltage of a string against the sum of its blocks; places that may be reversed or missing",
		Source:  "arithmetic; tolerance 0.02 V + 0.003 V a block common practice, no source",
		Example: `{"blocks_V":[12.871,12.864,12.880],"pack_V":12.887,"tol_V":0.02}`,
		Run:     of(seriesSum),
	},
	{
		Name:    "tap_order",
		Does:    "whether the blocks stand in the recorded order, from the tap voltages of the string",
		Source:  "assignment with the least sum of differences, textbook; tolerance common practice, no source",
		Example: `{"tap_V":[12.884,25.722,38.575],"recorded":[{"pos":1,"id":"A","ocv_V":12.885},{"pos":2,"id":"B","ocv_V":12.852},{"pos":3,"id":"C","ocv_V":12.839}],"tol_V":0.008}`,
		Run:     of(tapOrder),
	},
	{
		Name:    "self_discharge_rate",
		Does:    "loss of charge per month at a temperature",
		Source:  "published trade rule: doubling per 10 K",
		Example: `{"s25_pct_month":3,"temp_C":35}`,
		Run:     of(selfDischargeRate),
	},
	{
		Name:    "storage_history",
		Does:    "charge lost and left over stays at several temperatures",
		Source:  "published trade rule: doubling per 10 K, added up over the stays",
		Example: `{"soc0_pct":100,"s25_pct_month":3,"segments":[{"temp_C":18,"days":40},{"temp_C":28,"days":50}]}`,
		Run:     of(storageHistory),
	},
	{
		Name:    "refresh_due",
		Does:    "day by which a stored block must be charged again, and which rule sets it",
		Source:  "common practice, no source: 70 % or six months at 25 degrees, half for each 10 K above",
		Example: `{"measured":"2026-09-01","ocv25_V":12.8,"chemistry":"agm","cells":6,"storage_temp_C":25,"s25_pct_month":3,"soc_min_pct":70,"base_months":6,"base_temp_C":25,"cap_months":6,"month_days":30.4375}`,
		Run:     of(refreshDue),
	},
}

type gateInput struct {
	Chemistry pack.Chemistry `json:"chemistry"`
	RestH     float64        `json:"rest_h"`
	MinRestH  float64        `json:"min_rest_h"`
	OnCharger bool           `json:"on_charger"`
	LoadA     float64        `json:"load_A"`
	OCV       float64        `json:"ocv_V"`
	Cells     *int           `json:"cells,omitempty"` // A 12 V lead-acid block, 6, when left out.
}

type gateAnswer struct {
	Valid       bool     `json:"valid"`
	Reasons     []string `json:"reasons"`
	Provisional bool     `json:"provisional"`
}

func readingGate(in gateInput) (gateAnswer, error) {
	cells := pack.CellsPer12V
	if in.Cells != nil {
		cells = *in.Cells
	}
	valid, reasons, err := pack.Gate(pack.Reading{
		Chemistry: in.Chemistry, OCV: in.OCV, Cells: cells,
		RestH: in.RestH, MinRestH: in.MinRestH, OnCharger: in.OnCharger, LoadA: in.LoadA,
	})
	if err != nil {
		return gateAnswer{}, blame("input", err)
	}
	return gateAnswer{Valid: valid, Reasons: reasons, Provisional: pack.Provisional(reasons, in.RestH)}, nil
}

type ocv25Input struct {
	OCV   float64 `json:"ocv_V"`
	TempC float64 `json:"temp_C"`
	Cells int     `json:"cells"`
	Coef  float64 `json:"coef_V_per_K_cell"`
}

type ocv25Answer struct {
	OCV25 float64 `json:"ocv25_V"`
}

func ocvTo25(in ocv25Input) (ocv25Answer, error) {
	v, err := pack.OCVTo25(in.OCV, in.Cells, in.TempC, in.Coef)
	return ocv25Answer{v}, blame("input", err)
}

type socInput struct {
	Chemistry pack.Chemistry `json:"chemistry"`
	OCV25     float64        `json:"ocv25_V"`
	Cells     int            `json:"cells"`
}

type socAnswer struct {
	SoC   float64 `json:"soc_pct"`
	Table string  `json:"table_version"`
}

func ocvToSoC(in socInput) (socAnswer, error) {
	soc, err := pack.SoC(in.Chemistry, in.OCV25, in.Cells)
	return socAnswer{soc, pack.TableVersion}, blame("chemistry", err)
}

type sgInput struct {
	SG       float64 `json:"sg"`
	Constant float64 `json:"constant"`
	Cells    int     `json:"cells"`
}

type sgAnswer struct {
	Cell  float64 `json:"cell_V"`
	Block float64 `json:"block_V"`
}

func sgToOCV(in sgInput) (sgAnswer, error) {
	cell, block, err := pack.SGToOCV(in.SG, in.Constant, in.Cells)
	return sgAnswer{cell, block}, blame("input", err)
}

type ir25Input struct {
	R     float64 `json:"R_mohm"`
	TempC float64 `json:"temp_C"`
	Coef  float64 `json:"coef_per_K"`
}

type ir25Answer struct {
	R25 float64 `json:"R25_mohm"`
}

func irTo25(in ir25Input) (ir25Answer, error) {
	r, err := pack.IRTo25(in.R, in.TempC, in.Coef)
	return ir25Answer{r}, blame("input", err)
}

type unitGuessInput struct {
	Entered float64 `json:"entered"`
	Low     float64 `json:"expected_low_mohm"`
	High    float64 `json:"expected_high_mohm"`
}

type unitGuessAnswer struct {
	Guess  pack.UnitGuess `json:"guess"`
	AsMohm *float64       `json:"as_mohm"` // null when implausible.
}

func irUnitGuess(in unitGuessInput) (unitGuessAnswer, error) {
	guess, mohm, known, err := pack.GuessUnit(in.Entered, in.Low, in.High)
	if err != nil {
		return unitGuessAnswer{}, blame("entered", err)
	}
	answer := unitGuessAnswer{Guess: guess}
	if known {
		answer.AsMohm = &mohm
	}
	return answer, nil
}

type twoPointInput struct {
	C10         *float64 `json:"C10_Ah,omitempty"` // To compare the currents with those of the standard.
	I1          float64  `json:"I1_A"`
	U1          float64  `json:"U1_V"`
	I2          float64  `json:"I2_A"`
	U2          float64  `json:"U2_V"`
	ResolutionV float64  `json:"resolution_V,omitempty"`
}

type twoPointAnswer struct {
	RMohm            float64 `json:"R_mohm"`
	IscA             float64 `json:"Isc_A"`
	U0               float64 `json:"U0_extrapolated_V"`
	StandardCurrents *bool   `json:"currents_as_in_standard,omitempty"`
}

func twoPointIR(in twoPointInput) (twoPointAnswer, error) {
	points := pack.TwoPoint{I1: in.I1, U1: in.U1, I2: in.I2, U2: in.U2, ResolutionV: in.ResolutionV}
	r, err := points.Resolve()
	if err != nil {
		return twoPointAnswer{}, blame("U1_V, U2_V", err)
	}
	answer := twoPointAnswer{RMohm: r.RMohm, IscA: r.IscA, U0: r.U0}
	if in.C10 != nil {
		standard, err := points.StandardCurrents(*in.C10)
		if err != nil {
			return twoPointAnswer{}, blame("C10_Ah", err)
		}
		answer.StandardCurrents = &standard
	}
	return answer, nil
}

type spreadInput struct {
	OCV25 []measure.Decimal `json:"ocv25_V"`
	R25   []measure.Decimal `json:"R25_mohm"`
	Cells int               `json:"cells_per_block"`
}

type spreadAnswer struct {
	Range        exact   `json:"ocv_range_V"`
	ResistPct    float64 `json:"ir_range_pct_of_median"`
	Grade        string  `json:"grade"`
	ByVoltage    string  `json:"grade_by_voltage"`
	ByResistance string  `json:"grade_by_resistance"`
}

func packSpread(in spreadInput) (spreadAnswer, error) {
	s, err := pack.Spread(in.OCV25, in.R25, in.Cells, pack.DefaultSpreadLimits())
	if err != nil {
		return spreadAnswer{}, blame("input", err)
	}
	return spreadAnswer{exact{s.VoltageRange}, s.ResistPct, s.Grade, s.ByVoltage, s.ByResistance}, nil
}

type readyInput struct {
	Chemistry pack.Chemistry    `json:"chemistry"`
	OCV25     []measure.Decimal `json:"ocv25_V"`
	Cells     int               `json:"cells_per_block"`
}

type readyAnswer struct {
	Lowest exact  `json:"min_V"`
	Range  exact  `json:"range_V"`
	Grade  string `json:"grade"`
}

func readyToShip(in readyInput) (readyAnswer, error) {
	limits, err := pack.DefaultReadyLimits(in.Chemistry)
	if err != nil {
		return readyAnswer{}, blame("chemistry", err)
	}
	r, err := pack.ReadyToShip(in.OCV25, in.Cells, limits)
	if err != nil {
		return readyAnswer{}, blame("input", err)
	}
	return readyAnswer{exact{r.Lowest}, exact{r.Range}, r.Grade}, nil
}
