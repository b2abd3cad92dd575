package main

import (
	"encoding/json"
	"html"
	"io"
	"net/http"
	"regexp"
	"strings"
	"testing"

	"tracewright/reports/pdf/pdftest"
	"tracewright/testdata/demo"
)

var digits = regexp.MustCompile(`\d+(\.\d+)?`)

// A week and a month of a whole shop: every sentence of the interface stands on the
// paper and on the page, each with its numbers, and so does every number of a table
// behind a picture.
func TestThePaperOfAReviewSaysWhatTheInterfaceSays(t *testing.T) {
	s := ask(t, demo.Story, 1)
	for _, period := range []string{"week", "month"} {
		t.Run(period, func(t *testing.T) {
			body := `{"period":"` + period + `","day":"` + askedDay.AddDate(0, 0, -7).Format("2006-01-02") + `"}`
			r, err := http.NewRequestWithContext(t.Context(), http.MethodPost, s.address+"/api/v1/reviews", strings.NewReader(body))
			if err != nil {
				t.Fatal(err)
			}
			r.Header.Set("Content-Type", "application/json")
			r.Header.Set("Origin", s.address)
			answer, err := s.client.Do(r)
			if err != nil {
				t.Fatal(err)
			}
			defer answer.Body.Close()
			raw, err := io.ReadAll(answer.Body)
			if err != nil || answer.StatusCode != http.StatusCreated && answer.StatusCode != http.StatusOK {
				t.Fatalf("%d %v: %.400s", answer.StatusCode, err, raw)
			}
			var review struct {
				ID       string
				Sections []struct {
					Asks      string
					Sentences []struct{ Message string }
					Plots     []struct {
						Shape  string
						Points []struct {
							Label string
							Value *float64
							K     *int
						}
					}
				}
			}
			if err := json.Unmarshal(raw, &review); err != nil {
				t.Fatal(err)
			}
			if answer.StatusCode == http.StatusCreated && answer.Header.Get("Location") != "/api/v1/reviews/"+review.ID {
				t.Errorf("it is said to be at %s", answer.Header.Get("Location"))
			}
			paper := []byte(s.read(t, "/api/v1/reviews/"+review.ID+"/paper"))
			if page := s.read(t, "/reviews/"+review.ID+"/paper"); page != string(paper) {
				t.Error("the page's paper is another than the interface's")
			}
			onPaper, onPage := joined(pdftest.Text(t, paper)), joined(html.UnescapeString(regexp.MustCompile(`<[^>]*>`).ReplaceAllString(s.read(t, "/reviews/"+review.ID), " ")))
			sentences, figures := 0, 0
			for _, section := range review.Sections {
				for _, sentence := range section.Sentences {
					sentences++
					if want := joined(sentence.Message); !strings.Contains(onPaper, want) || !strings.Contains(onPage, want) {
						t.Errorf("%q stands on the paper %v, on the page %v", sentence.Message, strings.Contains(onPaper, want), strings.Contains(onPage, want))
					}
					figures += len(digits.FindAllString(sentence.Message, -1))
				}
				for _, plot := range section.Plots {
					for _, point := range plot.Points {
						if !strings.Contains(onPage, joined(point.Label)) {
							t.Errorf("%q of a picture is not on the page", point.Label)
						}
						if plot.Shape == "bars" && !strings.Contains(onPaper, joined(point.Label)) {
							t.Errorf("%q of a picture is not on the paper", point.Label)
						}
					}
				}
			}
			if sentences < 9 || figures < 10 {
				t.Errorf("only %d sentences with %d numbers", sentences, figures)
			}
			if pages := len(pdftest.PageTexts(t, paper)); pages < 2 || pages > 4 {
				t.Errorf("%d pages, want two to four", pages)
			}
		})
	}
}

// joined is a text without white space, so that it is found wherever its lines break.
func joined(text string) string { return strings.Join(strings.Fields(text), "") }

// The page of what needs attention says what the interface says, in its order.
func TestThePageOfAttentionSaysWhatTheInterfaceSays(t *testing.T) {
	s := ask(t, demo.Story, 1)
	var list struct {
		Title struct{ Message string }
		Rows  []struct {
			Kind, Level string
			Sentence    struct{ Message string }
			Evidence    []struct{ Message string }
			Next        struct{ Message string }
		}
	}
	if err := json.Unmarshal([]byte(s.read(t, "/api/v1/attention")), &list); err != nil {
		t.Fatal(err)
	}
	page := joined(html.UnescapeString(regexp.MustCompile(`<[^>]*>`).ReplaceAllString(s.read(t, "/attention"), " ")))
	sheet := s.read(t, "/attention?as=csv")
	if !strings.Contains(page, joined(list.Title.Message)) {
		t.Errorf("%q does not stand on the page", list.Title.Message)
	}
	order := map[string]int{"safety": 0, "left_the_shop": 1, "stuck": 2, "due": 3}
	at, level := 0, 0
	for _, row := range list.Rows {
		found := strings.Index(page[at:], joined(row.Sentence.Message))
		if found < 0 {
			t.Errorf("%q does not stand on the page where it should", row.Sentence.Message)
			continue
		}
		at += found
		if order[row.Level] < level {
			t.Errorf("%q is worse than what stands before it", row.Sentence.Message)
		}
		level = order[row.Level]
		if !strings.Contains(joined(sheet), strings.ReplaceAll(joined(row.Sentence.Message), `"`, `""`)) {
			t.Errorf("%q is not in the list for a spreadsheet", row.Sentence.Message)
		}
		for _, e := range row.Evidence {
			if !strings.Contains(strings.ToLower(page), strings.ToLower(joined(strings.TrimRight(e.Message, ".")))) {
				t.Errorf("the evidence %q does not stand on the page", e.Message)
			}
		}
	}
	if len(list.Rows) < 8 {
		t.Errorf("only %d rows in a shop with this much going on", len(list.Rows))
	}
	if !strings.HasPrefix(sheet, "\ufeffkind,level,what,evidence,since,by,things,next\n") || strings.Count(sheet, "\n") != len(list.Rows)+1 {
		t.Errorf("the list for a spreadsheet begins %.80q and has %d lines", sheet, strings.Count(sheet, "\n"))
	}
}
