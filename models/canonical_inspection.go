package models

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
	for n, s := range r.Sets {
		sets[n] = s.canonical()
	}
	results := make([]any, len(r.Results))
	for n, x := range r.Results {
		results[n] = x.canonical()
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

func (s ReadingSet) canonical() map[string]any {
	index := make([]string, len(s.Index))
	for i, p := range s.Index {
		index[i] = p.Key()
	}
	f := fields{"code": s.Code, "method": s.Method, "person": s.PersonID, "values": s.Values, "index": index, "moments": s.Moments, "remarks": canonicalRemarks(s.Remarks)}
	putPointer(f, "instrument", s.InstrumentID)
	put(f, "unit", s.Unit)
	put(f, "manner", s.Manner)
	if len(s.Converted) > 0 {
		f["converted"] = s.Converted
	}
	if len(s.Masks) > 0 {
		f["masks"] = canonicalMasks(s.Masks)
	}
	return f
}

func (x Result) canonical() map[string]any {
	f := fields{"code": x.Code, "value": x.Value, "verdict": x.Verdict, "method": x.Method, "readings": x.Readings}
	put(f, "position", x.Position)
	put(f, "unit", x.Unit)
	put(f, "low", x.Low)
	put(f, "high", x.High)
	put(f, "accept_low", x.AcceptLow)
	put(f, "accept_high", x.AcceptHigh)
	put(f, "u", x.U)
	put(f, "reason", x.Reason)
	if len(x.Detail) > 0 {
		f["detail"] = texts(x.Detail)
	}
	return f
}

func canonicalRemarks(remarks []Remark) []any {
	list := make([]any, len(remarks))
	for i, r := range remarks {
		f := fields{"code": r.Code}
		if len(r.Values) > 0 {
			f["values"] = texts(r.Values)
		}
		list[i] = f
	}
	return list
}

func texts(m map[string]string) map[string]any {
	f := fields{}
	for k, v := range m {
		f[k] = v
	}
	return f
}
