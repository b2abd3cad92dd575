package servertest

import (
	"fmt"
	"io"
	"net/http"
	"strings"
	"testing"
	"time"

	"tracewright/models"
	"tracewright/models/trade/ident"
)

// problems is the part of an answer that names what is wrong (RFC 9457).
type problems struct {
	Type   string `json:"type"`
	Status int    `json:"status"`
	Errors []struct {
		Field, Code, Message string
	} `json:"errors"`
}

// refuses makes a row that is refused with one entry for one field; nothing
// more is stored of the wheel.
func refuses(s *Shop, name, field, code string, change func(*models.Submission)) Row {
	sub := s.EveryHole()
	change(&sub)
	return Row{Name: name, Who: OperatorAtStand, Path: "/api/v1/inspections", Body: sub, Status: http.StatusUnprocessableEntity,
		Headers: map[string]string{"Content-Type": "application/problem+json"},
		After: func(t *testing.T, _ http.Header, body []byte) {
			got := Decode[problems](t, body)
			if len(got.Errors) != 1 || got.Errors[0].Field != field || got.Errors[0].Code != code {
				t.Errorf("entries %+v, want one: %s %s", got.Errors, field, code)
			}
			for _, e := range got.Errors {
				if e.Message == "" || strings.ContainsAny(e.Message, "[]{}") {
					t.Errorf("%s has no words: %q", e.Code, e.Message)
				}
			}
			s.nothingStored(t, sub.ID)
		}}
}

// nothingStored looks for an inspection in every place where one may be.
func (s *Shop) nothingStored(t *testing.T, id string) {
	t.Helper()
	if _, err := s.Store.Inspection(t.Context(), id); err == nil {
		t.Errorf("inspection %s is stored", id)
	}
	if _, err := s.Store.Unplaced(t.Context(), id); err == nil {
		t.Errorf("inspection %s is among the unplaced", id)
	}
}

func value(at int, typed string) func(*models.Submission) {
	return func(sub *models.Submission) { sub.Sets[0].Values[at] = typed }
}

// index names the spoke of every reading of the first set, one of them wrongly.
func index(at, spoke int) func(*models.Submission) {
	return func(sub *models.Submission) {
		sub.Sets[0].Index = make([]models.Position, len(sub.Sets[0].Values))
		for i := range sub.Sets[0].Index {
			sub.Sets[0].Index[i] = models.Spoke(i)
		}
		sub.Sets[0].Index[at] = models.Spoke(spoke)
	}
}

// ticked says more of a ticked point than its answer: sets[5] of [worktest.Shop.EveryHole].
func ticked(instrument string, index ...models.Position) func(*models.Submission) {
	return func(sub *models.Submission) {
		sub.Sets[5] = models.SentSet{Characteristic: "spokes_seated", Method: models.Whole, Values: []string{"yes"}, Instrument: instrument, Index: index}
	}
}

// preview looks at what an inspection would be refused for.
func preview(s *Shop, name, field string, change func(*models.Submission)) Row {
	sub := s.EveryHole()
	change(&sub)
	return Row{Name: name, Who: OperatorAtStand, Path: "/api/v1/preview", Body: sub, Status: http.StatusUnprocessableEntity, Has: []string{`"field":"` + field + `"`}}
}

// unfinished is an inspection before its end is known.
func unfinished(s *Shop) object {
	sub := s.EveryHole()
	return object{"id": sub.ID, "serial": sub.Serial, "stage": sub.Stage, "started_at": sub.StartedAt, "sets": sub.Sets[:1]}
}

func TestReadingsThatAreRefused(t *testing.T) {
	Each(t, func(t *testing.T, s *Shop) {
		s.Run(t, []Row{
			refuses(s, "a wrong check character", "serial", "serial_check", func(sub *models.Submission) { sub.Serial = misread(sub.Serial) }),
			refuses(s, "no serial at all", "serial", "serial_form", func(sub *models.Submission) { sub.Serial = "wheel by the door" }),
			refuses(s, "one reading too few", "sets[0].values", "too_few_readings", func(sub *models.Submission) { sub.Sets[0].Values = sub.Sets[0].Values[1:] }),
			refuses(s, "two readings too many", "sets[0].values", "too_many_readings", func(sub *models.Submission) { sub.Sets[0].Values = append(sub.Sets[0].Values, "0.00", "0.01") }),
			refuses(s, "two points", "sets[0].values[7]", "not_a_number", value(7, "1.2.3")),
			refuses(s, "a sign alone", "sets[0].values[7]", "not_a_number", value(7, "-")),
			refuses(s, "nothing typed", "sets[0].values[7]", "not_a_number", value(7, "")),
			refuses(s, "an exponent", "sets[0].values[7]", "not_a_number", value(7, "1e999")),
			refuses(s, "words", "sets[0].values[7]", "not_a_number", value(7, "NaN")),
			refuses(s, "a thousands mark", "sets[0].values[7]", "not_a_number", value(7, "1,000.5")),
			refuses(s, "beyond the gauge's range", "sets[0].values[7]", "outside_range", value(7, "10.01")),
			refuses(s, "below the gauge's range", "sets[0].values[7]", "outside_range", value(7, "-10.01")),
			refuses(s, "a unit that the characteristic does not accept", "sets[0].unit", "unit_not_accepted", func(sub *models.Submission) { sub.Sets[0].Unit = "N" }),
			refuses(s, "a unit of its own in one value", "sets[3].values[2]", "other_unit_typed", func(sub *models.Submission) { sub.Sets[3].Values[2] = "104 kgf" }),
			refuses(s, "a gauge nobody knows", "sets[0].instrument", "unknown_instrument", func(sub *models.Submission) { sub.Sets[0].Instrument = "D-9" }),
			refuses(s, "a gauge for something else", "sets[0].instrument", "wrong_instrument", func(sub *models.Submission) { sub.Sets[0].Instrument = "T-1" }),
			refuses(s, "a stage of another kind", "stage", "unknown_stage", func(sub *models.Submission) { sub.Stage = models.Final }),
			refuses(s, "one spoke named twice", "sets[0].index", "index_twice", index(7, 6)),
			refuses(s, "a spoke that the wheel has not", "sets[0].index", "index_out_of_range", index(7, 36)),
			refuses(s, "a station masked and read", "sets[0].masks[0].index", "masked_and_read", masked(models.Mask{Index: models.Spoke(7), Reason: models.MaskWeld}, 7)),
			refuses(s, "a station masked that the wheel has not", "sets[0].masks[0].index", "index_out_of_range", masked(models.Mask{Index: models.Spoke(36), Reason: models.MaskWeld})),
			refuses(s, "a mask for no known reason", "sets[0].masks[0].reason", "mask_reason_unknown", masked(models.Mask{Index: models.Spoke(7), Reason: "ugly"})),
			refuses(s, "a mask for another reason that nobody says", "sets[0].masks[0].note", "mask_note_needed", masked(models.Mask{Index: models.Spoke(7), Reason: models.MaskOther})),
			refuses(s, "a spoke's tension masked", "sets[3].masks", "mask_not_here", func(sub *models.Submission) {
				sub.Sets[3].Masks = []models.Mask{{Index: models.Spoke(2), Reason: models.MaskWeld}}
			}),
			refuses(s, "a gauge that nobody knows, for a ticked point", "sets[5].instrument", "unknown_instrument", ticked("X-9")),
			refuses(s, "a place on the item for a ticked point", "sets[5].index", "index_out_of_range", ticked("", models.Spoke(-1))),
			refuses(s, "two places for a ticked point", "sets[5].index", "index_mismatch", ticked("", models.Spoke(0), models.Spoke(0))),
			preview(s, "less than none of a part, looked at beforehand", "parts[0].quantity", func(sub *models.Submission) {
				sub.Parts = []models.SentPart{{Role: "motor", Number: "N9", Quantity: -1}}
			}),
			preview(s, "an end before the beginning, looked at beforehand", "finished_at", func(sub *models.Submission) { sub.FinishedAt = sub.FinishedAt.AddDate(-2030, 0, 0) }),
			{Name: "what is not there yet, looked at beforehand", Who: OperatorAtStand, Path: "/api/v1/preview", Body: unfinished(s), Status: http.StatusOK},
			{Name: "half a place", Who: OperatorAtStand, Path: "/api/v1/inspections", Body: `{"sets":[{"characteristic":"dish","values":["1"],"index":[[1,null]]}]}`, Status: http.StatusUnprocessableEntity, Has: []string{`"sets[0].index[0]"`, `"json_type"`}},
			refuses(s, "an id that is none", "id", "bad_id", func(sub *models.Submission) { sub.ID = "7" }),
		})
	})
}

// masked masks a station of the first set; spoke 8 (index 7) is left out of its
// readings unless it is named.
func masked(mask models.Mask, read ...int) func(*models.Submission) {
	return func(sub *models.Submission) {
		set := &sub.Sets[0]
		var values []string
		for i, v := range set.Values {
			if i != 7 || len(read) > 0 {
				values, set.Index = append(values, v), append(set.Index, models.Spoke(i))
			}
		}
		set.Values, set.Masks = values, []models.Mask{mask}
	}
}

// misread swaps the check character for another one of the alphabet.
func misread(serial string) string {
	last := byte('2')
	if serial[len(serial)-1] == last {
		last = '3'
	}
	return serial[:len(serial)-1] + string(last)
}

func TestEveryBadFieldIsNamedAtOnce(t *testing.T) {
	Each(t, func(t *testing.T, s *Shop) {
		sub := s.EveryHole()
		sub.Sets[0].Values[3], sub.Sets[1].Values[4], sub.Sets[2].Unit = "1.2.3", "-", "kgf"
		s.Run(t, []Row{{Name: "three fields", Who: OperatorAtStand, Path: "/api/v1/inspections", Body: sub, Status: http.StatusUnprocessableEntity,
			Has:   []string{`"sets[0].values[3]"`, `"sets[1].values[4]"`, `"sets[2].unit"`},
			After: func(t *testing.T, _ http.Header, _ []byte) { s.nothingStored(t, sub.ID) }}})
	})
}

func TestReadingsThatAreAccepted(t *testing.T) {
	Each(t, func(t *testing.T, s *Shop) {
		row := func(name string, change func(*models.Submission), stored string) Row {
			sub := s.EveryHole()
			sub.Serial = *s.AnotherWheel().Serial
			change(&sub)
			return Row{Name: name, Who: OperatorAtStand, Path: "/api/v1/inspections", Body: sub, Status: http.StatusCreated,
				Has: []string{`"placed":true`, `"created":true`},
				After: func(t *testing.T, _ http.Header, _ []byte) {
					view, err := s.Store.InspectionView(t.Context(), sub.ID)
					if err != nil {
						t.Fatal(err)
					}
					for _, set := range view.Sets {
						if set.Code == "lateral_runout" && !strings.Contains(strings.Join(set.Values, " "), stored) {
							t.Errorf("stored as typed: %q is not among %v", stored, set.Values)
						}
					}
				}}
		}
		s.Run(t, []Row{
			row("a decimal comma", value(7, "0,12"), "0,12"),
			row("a point in front", value(7, ".11"), ".11"),
			row("the typographic minus", value(7, "\u22120.01"), "\u22120.01"),
			row("one more: the reread of the first station", func(sub *models.Submission) { sub.Sets[0].Values = append(sub.Sets[0].Values, "0.01") }, "0.01"),
			row("finer than the gauge, kept and flagged", value(7, "0.125"), "0.125"),
			row("the serial as printed, in small letters", func(sub *models.Submission) { sub.Serial = strings.ToLower(ident.Print(sub.Serial)) }, "0.00"),
		})
	})
}

func TestBodiesThatAreRefused(t *testing.T) {
	Each(t, func(t *testing.T, s *Shop) {
		post := func(name string, body any, status int, has ...string) Row {
			return Row{Name: name, Who: OperatorAtStand, Path: "/api/v1/inspections", Body: body, Status: status, Has: has, Headers: map[string]string{"Content-Type": "application/problem+json"}}
		}
		large := post("50 MB", io.LimitReader(forever{}, 50<<20), http.StatusRequestEntityTooLarge)
		large.After = func(t *testing.T, _ http.Header, body []byte) {
			if len(body) > 4096 {
				t.Errorf("the answer has %d bytes", len(body))
			}
		}
		s.Run(t, []Row{
			large,
			post("a field that nobody knows", `{"id":"0198f3c2-7a11-7cc3-98f0-0a1b2c3d4e5f","colour":"red"}`, http.StatusUnprocessableEntity, `"colour"`, `"unknown_field"`),
			post("a field that nobody knows, deep", `{"sets":[{"characteristic":"dish","values":["1"],"colour":"red"}]}`, http.StatusUnprocessableEntity, `"sets[0].colour"`),
			post("a number for a text", `{"serial":7}`, http.StatusUnprocessableEntity, `"serial"`, `"json_type"`),
			post("a name twice", `{"serial":"a","serial":"b"}`, http.StatusUnprocessableEntity, `"serial"`, `"twice"`),
			post("no JSON", `{"serial":`, http.StatusUnprocessableEntity, `"json_syntax"`),
			post("a list", `[]`, http.StatusUnprocessableEntity, `"json_type"`),
			post("nothing", ``, http.StatusUnprocessableEntity),
			post("two objects", `{} {}`, http.StatusUnprocessableEntity, `"json_trailing"`),
			post("bytes that are no text", []byte("{\"serial\":\"\xff\"}"), http.StatusUnprocessableEntity, `"json_utf8"`),
			post("half a character", `{"conditions":{"note":"\ud83d"}}`, http.StatusUnprocessableEntity, `"conditions.note"`, `"not_text"`),
			post("a zero byte", `{"sets":[{"values":["1\u0000"]}]}`, http.StatusUnprocessableEntity, `"sets[0].values[0]"`, `"not_text"`),
			{Name: "a product by its name", Who: OperatorAtStand, Path: "/api/v1/items", Body: `{"product":"Rear 26"}`, Status: http.StatusUnprocessableEntity, Has: []string{`"unknown_product"`, "by its id here"}},
			{Name: "a form", Who: OperatorAtStand, Method: http.MethodPost, Path: "/api/v1/inspections", Body: "serial=1", Header: map[string]string{"Content-Type": "application/x-www-form-urlencoded"}, Status: http.StatusUnsupportedMediaType},
			{Name: "a filter that nobody knows", Who: OperatorAtStand, Path: "/api/v1/products?familly=x", Status: http.StatusUnprocessableEntity, Has: []string{`"familly"`}},
			{Name: "an address that nobody knows", Who: OperatorAtStand, Path: "/api/v1/nothing", Status: http.StatusNotFound, Has: []string{`"status":404`}},
			{Name: "another verb", Who: OperatorAtStand, Method: http.MethodDelete, Path: "/api/v1/lots", Status: http.StatusMethodNotAllowed, Has: []string{`"status":405`}},
		})
	})
}

// A question that cannot be answered names what is wrong with it, and does not
// speak of storing, since nothing was to be stored.
func TestQuestionsThatAreRefused(t *testing.T) {
	Each(t, func(t *testing.T, s *Shop) {
		ask := func(name, path string, status int, has ...string) Row {
			return Row{Name: name, Who: Desk, Path: path, Status: status, Has: has, HasNot: []string{"Nothing was stored", "Nothing was changed"}}
		}
		wrong := misread(s.Serial[models.KindWheel])
		s.Run(t, []Row{
			ask("a wrong check character", "/api/v1/items/"+wrong, http.StatusUnprocessableEntity, `"field":"item"`, `"serial_check"`),
			ask("as printed", "/api/v1/items/"+strings.ToLower(ident.Print(wrong)), http.StatusUnprocessableEntity, `"serial_check"`),
			ask("no serial and no id", "/api/v1/items/wheel-by-the-door", http.StatusUnprocessableEntity, `"field":"item"`, `"serial_form"`),
			ask("an endless one", "/api/v1/items/"+strings.Repeat("9", 300), http.StatusUnprocessableEntity, `"too_long"`),
			ask("well formed and unknown", "/api/v1/items/"+s.unknownSerial(), http.StatusNotFound, "problem/not_found"),
			ask("an id that nothing has", "/api/v1/items/"+models.NewID(), http.StatusNotFound, "problem/not_found"),
			ask("a day that is none", "/api/v1/charts?from=yesterday", http.StatusUnprocessableEntity, `"from"`),
			ask("a percent sign that begins nothing", "/api/v1/claims?find=%zz", http.StatusUnprocessableEntity, `"field":"find"`, `"query_form"`),
			ask("a semicolon", "/api/v1/nonconformities?item=a;b", http.StatusUnprocessableEntity, `"field":"item"`, `"query_form"`),
			ask("half a letter", "/api/v1/lots?code=%E0%A4%A", http.StatusUnprocessableEntity, `"field":"code"`, `"query_form"`),
			ask("a filter that cannot be read, on a page", "/lots?material=%zz", http.StatusUnprocessableEntity, "cannot be read in an address"),
			ask("a filter that nobody knows, of holds", "/api/v1/holds?colour=red", http.StatusUnprocessableEntity, `"field":"colour"`, `"unknown_field"`),
			ask("of orders", "/api/v1/orders?late=true", http.StatusUnprocessableEntity, `"field":"late"`, `"unknown_field"`),
			ask("of checkpoints, mistyped", "/api/v1/checkpoints?blow=1", http.StatusUnprocessableEntity, `"field":"blow"`),
			ask("one lot or another", "/api/v1/lots?code=a&code=b", http.StatusUnprocessableEntity, `"field":"code"`, `"twice"`),
			ask("found by a wrong check character", "/api/v1/items?find="+wrong, http.StatusUnprocessableEntity, `"field":"find"`),
			ask("its page", "/items/"+wrong, http.StatusUnprocessableEntity, "wrong check character"),
			ask("the page of none", "/items/"+s.unknownSerial(), http.StatusNotFound),
			{Name: "a certificate for it", Who: OperatorAtStand, Method: http.MethodPost, Path: "/api/v1/items/" + wrong + "/certificates", Body: object{"confirm": object{"pin": PIN}}, Status: http.StatusUnprocessableEntity, Has: []string{`"serial_check"`}},
		})
	})
}

// forever is a body without end, of spaces.
type forever struct{}

func (forever) Read(p []byte) (int, error) {
	for i := range p {
		p[i] = ' '
	}
	return len(p), nil
}

// The rows of what is kept though something about it is odd.
func TestWorkIsNeverThrownAway(t *testing.T) {
	Each(t, func(t *testing.T, s *Shop) {
		post := func(name, who string, sub models.Submission, status int, has ...string) Row {
			return Row{Name: name, Who: who, Path: "/api/v1/inspections", Body: sub, Status: status, Has: has}
		}
		unknown := s.unknownSerial()
		stranger := s.Extremes()
		stranger.Serial = unknown
		kept := post("a serial the server does not know", OperatorAtStand, stranger, http.StatusAccepted, `"placed":false`, `"unknown_serial"`)
		kept.After = func(t *testing.T, _ http.Header, _ []byte) {
			if _, err := s.Store.Unplaced(t.Context(), stranger.ID); err != nil {
				t.Errorf("not kept: %v", err)
			}
		}
		good := s.Extremes()
		again := s.Extremes()
		second := s.Extremes()
		overdue := s.Extremes()
		overdue.Serial, overdue.Sets[0].Instrument = *s.AnotherWheel().Serial, "D-2"
		other := good
		other.Sets = append([]models.SentSet(nil), good.Sets...)
		other.Sets[2].Values = []string{"67.4", "67.9"}
		s.Run(t, []Row{
			kept,
			{Name: "and it is seen in the list", Who: InspectorAtStand, Path: "/api/v1/unplaced", Status: http.StatusOK, Has: []string{stranger.ID, unknown}},
			post("sent again", OperatorAtStand, stranger, http.StatusAccepted, stranger.ID),
			post("a good wheel", OperatorAtStand, good, http.StatusCreated, `"verdict":"pass"`, `"created":true`, `"recheck":false`),
			post("the same again: the first answer", OperatorAtStand, good, http.StatusOK, `"created":false`, `"verdict":"pass"`),
			post("the same id with other content", OperatorAtStand, other, http.StatusConflict, "problem/conflict"),
			{Name: "nothing was overwritten", Who: Desk, Path: "/api/v1/inspections/" + good.ID, Status: http.StatusOK, Has: []string{`"67.8"`}, HasNot: []string{`"67.9"`}},
			{Name: "its certificate", Who: OperatorAtStand, Path: "/api/v1/items/" + good.Serial + "/certificates", Body: map[string]any{"confirm": map[string]string{"pin": PIN}}, Status: http.StatusCreated, Has: []string{`"state":"issued"`}},
			post("inspected again after its certificate: a recheck", OperatorAtStand, again, http.StatusCreated, `"recheck":true`),
			post("by a second person at another stand", SecondAtOtherSide, second, http.StatusCreated, `"recheck":true`, `"stand 2"`),
			post("with a gauge that is overdue: kept and flagged", OperatorAtStand, overdue, http.StatusCreated),
			{Name: "the flag is seen", Who: Desk, Path: "/api/v1/inspections/" + overdue.ID, Status: http.StatusOK, Has: []string{`"instrument_overdue"`}},
		})
	})
}

func TestStrangeClocks(t *testing.T) {
	Each(t, func(t *testing.T, s *Shop) {
		sent := func(ahead time.Duration) (string, map[string]any) {
			sub := s.Extremes()
			sub.Serial = *s.AnotherWheel().Serial
			sub.StartedAt, sub.FinishedAt = sub.StartedAt.Add(ahead), sub.FinishedAt.Add(ahead)
			body := map[string]any{"id": sub.ID, "serial": sub.Serial, "stage": sub.Stage, "started_at": sub.StartedAt, "finished_at": sub.FinishedAt, "sets": sub.Sets, "sent_at": s.Now.Add(ahead)}
			return sub.ID, body
		}
		var rows []Row
		for _, c := range []struct {
			name   string
			ahead  time.Duration
			status int
			has    string
		}{
			{"right to the second", time.Second, http.StatusCreated, `"remarks":[]`},
			{"three hours ahead: kept, put right and flagged", 3 * time.Hour, http.StatusCreated, `"clock_differs"`},
			{"three hours behind: kept, put right and flagged", -3 * time.Hour, http.StatusCreated, `"clock_differs"`},
			{"two days ahead: kept for a person to settle", 48 * time.Hour, http.StatusAccepted, `"clock_strange"`},
		} {
			id, body := sent(c.ahead)
			row := Row{Name: c.name, Who: OperatorAtStand, Path: "/api/v1/inspections", Body: body, Status: c.status, Has: []string{c.has, fmt.Sprintf(`"offset_ms":%d`, c.ahead.Milliseconds())}}
			if c.status == http.StatusCreated {
				row.After = func(t *testing.T, _ http.Header, _ []byte) {
					stored, err := s.Store.Inspection(t.Context(), id)
					if err != nil {
						t.Fatal(err)
					}
					if want := s.Now.Add(-time.Minute); !stored.MeasuredAt.Equal(want) {
						t.Errorf("measured at %v by the shop's clock, want %v", stored.MeasuredAt, want)
					}
				}
			}
			rows = append(rows, row)
		}
		s.Run(t, rows)
	})
}
