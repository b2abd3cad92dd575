package models

import (
	"strconv"
	"time"
)

// Designs of a gauge study.
const (
	StudyCrossed   = "crossed"   // persons x items x repeats: what the gauge and the people who use it add
	StudyBias      = "bias"      // one reference, read again and again
	StudyLinearity = "linearity" // references over the range
	StudyStability = "stability" // one reference over time
)

// GaugeStudy is a study as it was planned: who reads what with which gauge, and
// in which order. It never changes; readings and its end are added.
type GaugeStudy struct {
	ID              string `gorm:"primaryKey"`
	Number          int    // as people call it, from 1
	Design          string
	InstrumentID    string
	FamilyID        string
	SpecificationID string // the one in force when it was planned: the limits come from there
	Characteristic  string
	Result          string
	Unit            string      // of values, references and limits
	Units           []string    `gorm:"serializer:json"` // a reading may be typed in
	Low             string      // tolerance, empty where there is none on that side
	High            string      //
	Persons         []string    `gorm:"serializer:json"` // ids; who takes part
	Items           []StudyItem `gorm:"serializer:json"`
	Repeats         int
	Seed            int64       // of the order
	Turns           []StudyTurn `gorm:"serializer:json"` // in the order of reading
	Note            string
	PlannedAt       time.Time
	PlannedBy       string
}

// StudyItem is what is read: an item by its serial, or a reference with its value.
type StudyItem struct {
	Name      string `json:"name"`
	Reference string `json:"reference,omitempty"` // decimal text in the study's unit
}

// StudyTurn is one reading to be taken: who (an index of Persons, below 0 for
// anyone of them) reads which item (an index of Items), for the how-manyth time.
type StudyTurn struct {
	Person int `json:"person"`
	Item   int `json:"item"`
	Repeat int `json:"repeat"` // from 1
}

// StudyReading is one reading of a study.
type StudyReading struct {
	ID        string `gorm:"primaryKey"` // made with the page that asks, so that sending twice is harmless
	StudyID   string
	Turn      int    // index of Turns
	Typed     string // as typed
	TypedUnit string
	Value     string // decimal text in the study's unit
	PersonID  string // who read the gauge
	EnteredBy string // who typed it
	EnteredAt time.Time
	DeviceID  *string
}

// StudyStrike takes a reading out of its study; the reading itself stays as it is.
type StudyStrike struct {
	ReadingID string `gorm:"primaryKey"`
	Reason    string
	StruckBy  string
	StruckAt  time.Time
}

// Ends of a study.
const (
	StudyConfirmed = "confirmed" // its figures count from then on
	StudyGivenUp   = "given_up"
)

// StudyEnd ends a study. Figures are what it came to, as they were confirmed.
type StudyEnd struct {
	StudyID string `gorm:"primaryKey"`
	What    string
	Reason  string
	Figures []StudyFigure `gorm:"serializer:json"`
	MadeAt  time.Time
	MadeBy  string
}

// StudyFigure is one figure of a confirmed study, decimal text.
type StudyFigure struct {
	Code  string `json:"code"`
	Value string `json:"value"`
}

// StudyView is a study with what was read and how it ended.
type StudyView struct {
	Study    GaugeStudy
	Readings []StudyReading // as they were entered
	Strikes  map[string]StudyStrike
	End      *StudyEnd // nil while it runs
}

// Standing are the readings that were not struck, by their turn; nil where none
// was taken yet.
func (v StudyView) Standing() []*StudyReading {
	out := make([]*StudyReading, len(v.Study.Turns))
	for i := range v.Readings {
		r := &v.Readings[i]
		if _, struck := v.Strikes[r.ID]; !struck && r.Turn >= 0 && r.Turn < len(out) {
			out[r.Turn] = r
		}
	}
	return out
}

// TrailName implements Recorded.
func (s GaugeStudy) TrailName() (string, string, int) { return "gauge_study", s.ID, 1 }

// Canonical implements Recorded.
func (s GaugeStudy) Canonical() map[string]any {
	items := make([]any, len(s.Items))
	for i, x := range s.Items {
		f := fields{"name": x.Name}
		put(f, "reference", x.Reference)
		items[i] = f
	}
	turns := make([]any, len(s.Turns))
	for i, t := range s.Turns {
		turns[i] = []any{t.Person, t.Item, t.Repeat}
	}
	f := fields{"id": s.ID, "number": s.Number, "design": s.Design, "instrument": s.InstrumentID, "family": s.FamilyID, "specification": s.SpecificationID, "characteristic": s.Characteristic,
		"result": s.Result, "unit": s.Unit, "items": items, "repeats": s.Repeats, "seed": strconv.FormatInt(s.Seed, 10), "turns": turns, "planned_at": TimeText(s.PlannedAt), "planned_by": s.PlannedBy}
	putTexts(f, "units", s.Units)
	putTexts(f, "persons", s.Persons)
	put(f, "low", s.Low)
	put(f, "high", s.High)
	put(f, "note", s.Note)
	return f
}

// TrailName implements Recorded.
func (r StudyReading) TrailName() (string, string, int) { return "study_reading", r.ID, 1 }

// Canonical implements Recorded.
func (r StudyReading) Canonical() map[string]any {
	f := fields{"id": r.ID, "study": r.StudyID, "turn": r.Turn, "typed": r.Typed, "value": r.Value, "person": r.PersonID, "entered_by": r.EnteredBy, "entered_at": TimeText(r.EnteredAt)}
	put(f, "typed_unit", r.TypedUnit)
	putPointer(f, "device", r.DeviceID)
	return f
}

// TrailName implements Recorded.
func (s StudyStrike) TrailName() (string, string, int) { return "study_strike", s.ReadingID, 1 }

// Canonical implements Recorded.
func (s StudyStrike) Canonical() map[string]any {
	return fields{"reading": s.ReadingID, "reason": s.Reason, "struck_by": s.StruckBy, "struck_at": TimeText(s.StruckAt)}
}

// TrailName implements Recorded.
func (e StudyEnd) TrailName() (string, string, int) { return "study_end", e.StudyID, 1 }

// Canonical implements Recorded.
func (e StudyEnd) Canonical() map[string]any {
	figures := make([]any, len(e.Figures))
	for i, x := range e.Figures {
		figures[i] = fields{"code": x.Code, "value": x.Value}
	}
	f := fields{"study": e.StudyID, "what": e.What, "figures": figures, "made_at": TimeText(e.MadeAt), "made_by": e.MadeBy}
	put(f, "reason", e.Reason)
	return f
}
