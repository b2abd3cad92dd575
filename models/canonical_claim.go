package models

import (
	"crypto/sha256"
	"encoding/hex"
)

// saltedHash is the SHA-256 of a salt and texts, each ended by a zero byte,
// which none of them holds.
func saltedHash(texts ...string) string {
	sum := sha256.New()
	for _, text := range texts {
		sum.Write([]byte(text + "\x00"))
	}
	return hex.EncodeToString(sum.Sum(nil))
}

// Hash is what a claim keeps of its words: the salted hash of salt and words.
func (w ClaimWords) Hash() string { return saltedHash(w.Salt, w.Words) }

// TrailName implements Recorded.
func (c Claim) TrailName() (string, string, int) { return "claim", c.ID, 1 }

// Canonical covers the customer's words by their salted hash alone, which stays
// when they are erased. The item and the state follow from the events.
func (c Claim) Canonical() map[string]any {
	f := fields{"id": c.ID, "number": c.Number, "kind": c.Kind, "words": c.WordsHash, "opened_by": c.OpenedBy, "opened_at": TimeText(c.OpenedAt)}
	put(f, "product", c.Product)
	put(f, "motor_number", c.MotorNumber)
	put(f, "order", c.OrderRef)
	put(f, "customer", c.Customer)
	return f
}

// TrailName implements Recorded. Version 2 has the revision of a check list and a
// spot; an event with neither is written as before.
func (e ClaimEvent) TrailName() (string, string, int) {
	if e.CheckList > 0 || e.Spot != "" {
		return "claim_event", e.ID, 2
	}
	return "claim_event", e.ID, 1
}

// Canonical implements Recorded.
func (e ClaimEvent) Canonical() map[string]any {
	f := fields{"id": e.ID, "claim": e.ClaimID, "what": e.What, "made_by": e.MadeBy, "made_at": TimeText(e.MadeAt)}
	putPointer(f, "item", e.ItemID)
	put(f, "came_on", e.CameOn)
	putPointer(f, "hold", e.HoldID)
	put(f, "symptom", e.Symptom)
	if len(e.Answers) > 0 {
		rows := make([]any, len(e.Answers))
		for i, a := range e.Answers {
			rows[i] = fields{"question": a.Question, "yes": a.Yes}
		}
		f["answers"] = rows
	}
	if e.CheckList > 0 {
		f["check_list"] = e.CheckList
	}
	put(f, "spot", e.Spot)
	put(f, "code", e.Code)
	put(f, "decision", e.Decision)
	put(f, "reason", e.Reason)
	put(f, "amount", e.Amount)
	put(f, "currency", e.Currency)
	putPointer(f, "removal", e.RemovalID)
	return f
}

// TrailName implements Recorded.
func (l CheckList) TrailName() (string, string, int) { return "check_list", l.ID, 1 }

// Canonical implements Recorded.
func (l CheckList) Canonical() map[string]any {
	questions := make([]any, len(l.Questions))
	for i, q := range l.Questions {
		f := fields{"code": q.Code, "yes": q.Yes}
		put(f, "text", q.Text)
		questions[i] = f
	}
	return fields{"id": l.ID, "symptom": l.Symptom, "revision": l.Revision, "questions": questions, "otherwise": l.Otherwise, "reason": l.Reason, "made_by": l.MadeBy, "made_at": TimeText(l.MadeAt)}
}
