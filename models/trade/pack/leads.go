package pack

import "fmt"

// Leads are what a two-wire meter measures together with the block.
type Leads struct {
	OneWayM     float64 // length of one lead
	AreaMM2     float64 // copper
	Contacts    int
	ContactMohm float64 // each
}

// LeadError is what the leads add to a two-wire reading.
type LeadError struct {
	LeadMohm  float64 // both leads
	AddedMohm float64 // with contacts
	TrueMohm  float64 // reading less what is added
}

// TwoWireError estimates what a two-wire reading holds besides the block:
//
//	added = 2 L rho / A + contacts * each
//
// Source: resistance of copper, IEC 60028 quoted from memory; contacts common
// practice, no source. Two leads of 0.5 m and 2.5 mm2 are half of a 12 Ah block:
// what is left says why four wires are used, and is no reading to keep. When
// nothing is left, it is ErrNotMeasurable.
func TwoWireError(readMohm float64, l Leads) (LeadError, error) {
	err := first(positive("R_two_wire_mohm", readMohm), checkPath("lead_one_way_m", l.OneWayM, l.AreaMM2, "contacts", l.Contacts, "contact_mohm", l.ContactMohm))
	if err != nil {
		return LeadError{}, err
	}
	out := LeadError{LeadMohm: wireMohm(2*l.OneWayM, l.AreaMM2)}
	out.AddedMohm = out.LeadMohm + float64(l.Contacts)*l.ContactMohm
	out.TrueMohm = readMohm - out.AddedMohm
	if err := computed(out.LeadMohm, out.AddedMohm, out.TrueMohm); err != nil {
		return LeadError{}, err
	}
	if out.TrueMohm <= 0 {
		return LeadError{}, fmt.Errorf("%w: leads and contacts alone are %.4g mohm, the reading %.4g", ErrNotMeasurable, out.AddedMohm, readMohm)
	}
	return out, nil
}
