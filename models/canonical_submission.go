package models

import (
	"time"

	"tracewright/models/trail"
)

// Digest is the SHA-256 of the canonical form of the submission's JSON: the key
// that tells a repeat from a conflict. It is what [trail.CanonicalJSON] makes of
// the marshalled submission, made without marshalling and parsing it, because
// somebody waits for every one.
func (s Submission) Digest() (string, error) {
	sets := make([]any, len(s.Sets))
	for i, set := range s.Sets {
		sets[i] = set.canonical()
	}
	f := fields{"id": s.ID, "serial": s.Serial, "stage": s.Stage, "started_at": sentTime(s.StartedAt), "finished_at": sentTime(s.FinishedAt),
		"conditions": s.Conditions.canonical(), "sets": sets}
	if s.Sets == nil {
		f["sets"] = nil
	}
	if p := s.Part; p != (PartName{}) {
		part := fields{"number": p.Number}
		put(part, "supplier", p.Supplier)
		put(part, "model", p.Model)
		f["part"] = part
	}
	put(f, "product", s.Product)
	put(f, "person", s.Person)
	put(f, "place", s.Place)
	put(f, "corrects", s.Corrects)
	put(f, "reason", s.Reason)
	if len(s.Parts) > 0 {
		parts := make([]any, len(s.Parts))
		for i, p := range s.Parts {
			parts[i] = p.canonical()
		}
		f["parts"] = parts
	}
	if len(s.Events) > 0 {
		events := make([]any, len(s.Events))
		for i, e := range s.Events {
			events[i] = fields{"at": int(e.At), "what": e.What, "characteristic": e.Characteristic, "position": e.Position.canonical(), "value": e.Value}
		}
		f["events"] = events
	}
	return trail.DigestOf(f)
}

// sentTime is a time as its JSON has it, which keeps every digit that was sent.
func sentTime(t time.Time) string { return t.Format(time.RFC3339Nano) }

func (s SentSet) canonical() fields {
	f := fields{"characteristic": s.Characteristic, "method": s.Method, "values": s.Values}
	if s.Values == nil {
		f["values"] = nil
	}
	put(f, "instrument", s.Instrument)
	put(f, "unit", s.Unit)
	put(f, "manner", s.Manner)
	if len(s.Index) > 0 {
		index := make([]any, len(s.Index))
		for i, p := range s.Index {
			index[i] = p.canonical()
		}
		f["index"] = index
	}
	if len(s.Moments) > 0 {
		f["moments"] = s.Moments
	}
	if len(s.Masks) > 0 {
		f["masks"] = canonicalMasks(s.Masks)
	}
	return f
}

func (p SentPart) canonical() fields {
	f := fields{"role": p.Role}
	put(f, "place", p.Place)
	put(f, "lot", p.Lot)
	put(f, "number", p.Number)
	put(f, "supplier", p.Supplier)
	put(f, "model", p.Model)
	put(f, "reason", p.Reason)
	if p.Quantity != 0 {
		f["quantity"] = p.Quantity
	}
	return f
}

// canonical is the position as its JSON has it: a number, or a pair.
func (p Position) canonical() any {
	if p.IsBlock() {
		return []int64{int64(p.String), int64(p.Place)}
	}
	return p.Place
}
