package models

import "tracewright/models/trail"

// RecordedInspection is an inspection with its readings and results: one
// record in the trail.
type RecordedInspection struct {
	Inspection Inspection
	Sets       []ReadingSet
	Results    []Result
}

// TrailName implements Recorded.
func (r RecordedInspection) TrailName() (string, string, int) {
	return "inspection", r.Inspection.ID, 1
}

// Canonical leaves out what is derived (Round, FirstSet, SupersededBy,
// PassRounds, PassMinutes). Sets
// are in the order of code and method, results in that of code and position.
func (r RecordedInspection) Canonical() map[string]any {
	i := r.Inspection
	f := fields{"id": i.ID, "item": i.ItemID, "family": i.FamilyID, "specification": i.SpecificationID, "stage": i.Stage, "person": i.PersonID,
		"started_at": TimeText(i.StartedAt), "measured_at": TimeText(i.MeasuredAt), "offset_ms": i.OffsetMS, "received_at": TimeText(i.ReceivedAt),
		"verdict": i.Verdict, "sent": i.SentHash, "recheck": i.Recheck, "conditions": i.Conditions.canonical(), "remarks": canonicalRemarks(i.Remarks)}
	putPointer(f, "product", i.ProductID)
	if i.ProductRevision != nil {
		f["product_revision"] = *i.ProductRevision
	}
	putPointer(f, "device", i.DeviceID)
	put(f, "place", i.Place)
	putPointer(f, "supersedes", i.Supersedes)
	put(f, "reason", i.Reason)
	sets := make([]any, len(r.Sets))
	for n := range r.Sets {
		sets[n] = &r.Sets[n]
	}
	results := make([]any, len(r.Results))
	for n := range r.Results {
		results[n] = &r.Results[n]
	}
	f["sets"], f["results"] = sets, results
	return f
}

func (c Conditions) canonical() map[string]any {
	f := fields{}
	put(f, "temperature_c", c.TemperatureC)
	put(f, "rest_hours", c.RestHours)
	put(f, "load_a", c.LoadA)
	put(f, "tyre", c.Tyre)
	put(f, "note", c.Note)
	if c.OnCharger {
		f["on_charger"] = true
	}
	if c.OffCharger { // Sent with a draft's answer; no inspection keeps it.
		f["off_charger"] = true
	}
	return f
}

// WriteCanonical implements [trail.Written].
func (s *ReadingSet) WriteCanonical(o *trail.Object) {
	index := make([]string, len(s.Index))
	for i, p := range s.Index {
		index[i] = p.Key()
	}
	o.Text("code", s.Code)
	if len(s.Converted) > 0 {
		o.Value("converted", s.Converted)
	}
	o.Value("index", index)
	if s.InstrumentID != nil {
		o.Text("instrument", *s.InstrumentID)
	}
	o.Filled("manner", s.Manner)
	if len(s.Masks) > 0 {
		o.Value("masks", canonicalMasks(s.Masks))
	}
	o.Text("method", s.Method)
	o.Value("moments", s.Moments)
	o.Text("person", s.PersonID)
	o.Value("remarks", canonicalRemarks(s.Remarks))
	o.Filled("unit", s.Unit)
	o.Value("values", s.Values)
}

// WriteCanonical implements [trail.Written].
func (x *Result) WriteCanonical(o *trail.Object) {
	o.Filled("accept_high", x.AcceptHigh)
	o.Filled("accept_low", x.AcceptLow)
	o.Text("code", x.Code)
	if len(x.Detail) > 0 {
		o.Value("detail", x.Detail)
	}
	o.Filled("high", x.High)
	o.Filled("low", x.Low)
	o.Text("method", x.Method)
	o.Filled("position", x.Position)
	o.Whole("readings", int64(x.Readings))
	o.Filled("reason", x.Reason)
	o.Filled("u", x.U)
	o.Filled("unit", x.Unit)
	o.Text("value", x.Value)
	o.Text("verdict", x.Verdict)
}

func canonicalRemarks(remarks []Remark) []any {
	list := make([]any, len(remarks))
	for i, r := range remarks {
		f := fields{"code": r.Code}
		if len(r.Values) > 0 {
			f["values"] = r.Values
		}
		list[i] = f
	}
	return list
}
