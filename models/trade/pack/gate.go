package pack

// Reasons a reading does not count, in the order Gate gives them.
const (
	RestTooShort           = "rest_too_short"
	OnCharger              = "on_charger"
	UnderLoad              = "under_load"
	SurfaceChargeSuspected = "surface_charge_suspected"
)

const (
	// SurfaceChargeV is the voltage of a lead-acid cell above which charge
	// still sits on the plates: 2.18 V, 13.08 V of a 12 V block. Common
	// practice, no source. The value itself is accepted.
	SurfaceChargeV = 2.18

	// aboveFullV is how far above its own full voltage a cell of a block with a
	// table of its own may stand: as far as 2.18 V lies above the fullest of the
	// common tables, 2.15 V of small absorbed glass mat. Common practice.
	aboveFullV = 0.03

	// ProvisionalRestH is the rest, h, from which a reading may be judged as
	// provisional. Common practice, no source.
	ProvisionalRestH = 4.0

	// slack forgives the binary form of decimals in a comparison; far below
	// the step of any meter.
	slack = 1e-9
)

// Reading is a voltage with what has to be known about it before it counts.
type Reading struct {
	Chemistry Chemistry
	OCV       float64 // V of the block, signed
	Cells     int     // cells in series in the block
	FullV     float64 // V of the full block by a table of its own; 0 without one
	RestH     float64 // h since charge or discharge ended
	MinRestH  float64 // h the specification asks for
	OnCharger bool    // a charger is connected
	LoadA     float64 // A flowing, either sign
}

// Gate says whether a reading is an open-circuit voltage, and if not, every
// reason: rest shorter than asked for, a charger connected, a current other
// than zero, or (lead-acid) more than SurfaceLimit. Makers ask for 6 to 24 h
// of rest, most for 24 h; the rest is common practice, no source.
// An impossible value is an error, not a reason.
func Gate(r Reading) (valid bool, reasons []string, err error) {
	err = first(r.Chemistry.check(), finite("ocv_V", r.OCV), checkCells("cells", r.Cells), hours("rest_h", r.RestH), hours("min_rest_h", r.MinRestH), finite("load_A", r.LoadA), finite("full_V", r.FullV))
	if err != nil {
		return false, nil, err
	}
	reasons = []string{}
	if r.RestH < r.MinRestH-slack {
		reasons = append(reasons, RestTooShort)
	}
	if r.OnCharger {
		reasons = append(reasons, OnCharger)
	}
	if r.LoadA != 0 {
		reasons = append(reasons, UnderLoad)
	}
	if r.Chemistry.LeadAcid() && r.OCV > r.SurfaceLimit()+slack {
		reasons = append(reasons, SurfaceChargeSuspected)
	}
	return len(reasons) == 0, reasons, nil
}

// SurfaceLimit is the voltage of the block, V, above which surface charge is
// suspected: 2.18 V a cell, or more for a block whose own table is full near or
// above that. Common practice, no source.
func (r Reading) SurfaceLimit() float64 {
	limit := SurfaceChargeV * float64(r.Cells)
	if r.FullV > 0 {
		limit = max(limit, r.FullV+aboveFullV*float64(r.Cells))
	}
	return limit
}

// Provisional says whether a reading that does not pass the gate may still be
// judged, marked provisional on page and paper: its rest is too short, at least
// four hours, and nothing else is against it. It is never matched, nor used for
// the loss between two readings. Common practice, no source.
func Provisional(reasons []string, restH float64) bool {
	return len(reasons) == 1 && reasons[0] == RestTooShort && restH >= ProvisionalRestH-slack
}

// hours refuses a duration that is negative or no number.
func hours(field string, h float64) error {
	if err := finite(field, h); err != nil {
		return err
	}
	if h < 0 {
		return fieldf(field, "cannot be negative")
	}
	return nil
}
