package api

import (
	"context"
	"fmt"
	"time"

	"tracewright/models"
	"tracewright/models/numbers/conformity"
	"tracewright/models/words"
)

// instant is a time as the interface writes it: RFC 3339, UTC, milliseconds.
type instant time.Time

// MarshalJSON writes the time.
func (t instant) MarshalJSON() ([]byte, error) {
	return []byte(`"` + models.TimeText(time.Time(t)) + `"`), nil
}

// onOurClock brings a moment of a tablet to the server's clock: by what the
// tablet's clock said when it sent. To the whole minute, so that a good clock
// is left alone and sending again gives the same moment.
func (a *api) onOurClock(at, sent time.Time) time.Time {
	if at.IsZero() || sent.IsZero() {
		return at
	}
	return at.Add(a.services.Now().Sub(sent).Round(time.Minute))
}

// remark is a code with its values and the words for them.
type remark struct {
	Code    string            `json:"code"`
	Values  map[string]string `json:"values,omitempty"`
	Message string            `json:"message"`
}

func remarks(list []models.Remark) []remark {
	shapes := make([]remark, len(list))
	for i, r := range list {
		shapes[i] = remark{Code: r.Code, Values: r.Values, Message: english.Remark(r)}
	}
	return shapes
}

// alone is a remark that stands by itself: its words begin with a capital.
func alone(r models.Remark) remark {
	return remark{Code: r.Code, Values: r.Values, Message: words.Sentence(english.Remark(r))}
}

func eachAlone(list []models.Remark) []remark {
	shapes := make([]remark, len(list))
	for i, r := range list {
		shapes[i] = alone(r)
	}
	return shapes
}

// sentence is a finding: a remark that stands by itself, the question that it answers,
// and what that question's page is opened with to see it.
type sentence struct {
	remark
	About string            `json:"about"`
	Query map[string]string `json:"query,omitempty"`
}

func sentencesOf(list []models.Sentence) []sentence {
	shapes := make([]sentence, len(list))
	for i, s := range list {
		shapes[i] = sentenceOf(s)
	}
	return shapes
}

func sentenceOf(s models.Sentence) sentence {
	return sentence{remark: alone(s.Remark), About: s.About, Query: s.Query}
}

// itemLine is an item in a list and in the answer to an inspection.
type itemLine struct {
	ID      string `json:"id"`
	Serial  string `json:"serial,omitempty"`
	Print   string `json:"print"` // what people call it
	Kind    string `json:"kind"`
	State   string `json:"state"`
	Product string `json:"product,omitempty"` // its name
	Family  string `json:"family,omitempty"`  // its name
}

func (a *api) itemLine(ctx context.Context, i models.Item) (itemLine, error) {
	line := itemLine{ID: i.ID, Print: words.Serial(i.Name()), Kind: i.Kind, State: i.State}
	if i.Serial != nil {
		line.Serial = *i.Serial
	}
	var err error
	if line.Product, err = a.cache.productName(ctx, i.ProductID); err != nil {
		return line, fmt.Errorf("product of item %s: %w", i.Name(), err)
	}
	if line.Family, err = a.cache.familyName(ctx, i.FamilyID); err != nil {
		return line, fmt.Errorf("family of item %s: %w", i.Name(), err)
	}
	return line, nil
}

func (a *api) itemLines(ctx context.Context, items []models.Item) ([]itemLine, error) {
	lines := make([]itemLine, len(items))
	for i, item := range items {
		var err error
		if lines[i], err = a.itemLine(ctx, item); err != nil {
			return nil, err
		}
	}
	return lines, nil
}

// resultShape is one result with what it was judged by.
type resultShape struct {
	Code       string            `json:"code"`
	Name       string            `json:"name"`
	Position   string            `json:"position,omitempty"` // "1.3": string and place
	Value      string            `json:"value"`              // exact, as stored
	Shown      string            `json:"shown"`              // rounded for reading
	Unit       string            `json:"unit,omitempty"`
	Low        string            `json:"low,omitempty"`
	High       string            `json:"high,omitempty"`
	AcceptLow  string            `json:"accept_low,omitempty"`
	AcceptHigh string            `json:"accept_high,omitempty"`
	U          string            `json:"u,omitempty"`
	Verdict    string            `json:"verdict"`
	Reason     string            `json:"reason,omitempty"`
	Message    string            `json:"message,omitempty"`
	Method     string            `json:"method"`
	Readings   int               `json:"readings"`
	Detail     map[string]string `json:"detail,omitempty"`
}

func resultShapes(results []models.Result, s models.Specification) []resultShape {
	shapes := make([]resultShape, len(results))
	for i, r := range results {
		limit, c, _ := s.Limit(r.Code)
		shapes[i] = resultShape{Code: r.Code, Name: english.Result(r.Code), Position: r.Position, Value: r.Value, Shown: conformity.ShownText(r.Value, c.Printed(limit), r.Low, r.High), Unit: r.Unit,
			Low: r.Low, High: r.High, AcceptLow: r.AcceptLow, AcceptHigh: r.AcceptHigh, U: r.U, Verdict: r.Verdict, Reason: r.Reason,
			Method: r.Method, Readings: r.Readings, Detail: r.Detail}
		shapes[i].Message = english.Because(words.Judged{Reason: r.Reason, Value: shapes[i].Shown, Unit: r.Unit, Low: r.Low, High: r.High, AcceptLow: r.AcceptLow, AcceptHigh: r.AcceptHigh})
	}
	return shapes
}

// pointed is a pointer's text, empty for none.
func pointed(p *string) string {
	if p == nil {
		return ""
	}
	return *p
}
