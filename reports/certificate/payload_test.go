package certificate

import (
	"encoding/json"
	"fmt"
	"regexp"
	"slices"
	"strings"
	"testing"

	"tracewright/models"
	"tracewright/models/words"
	"tracewright/reports/pdf/pdftest"
)

// reader holds a paper against the payload that was taken out of it again. What
// numbers and days look like is written here anew, for each language.
type reader struct {
	wrong    func(format string, values ...any)
	language string
	words    *words.Catalogue
	text     string
	lines    []string
	conceded []string // results that a concession lets through
}

// tidied has every kind of space made one plain space, and no words parted at
// the end of a line.
func tidied(text string) string { return strings.Join(strings.Fields(text), " ") }

func (r reader) number(stored string) string {
	stored = strings.Replace(stored, "-", "\u2212", 1)
	if r.language == "de" {
		return strings.Replace(stored, ".", ",", 1)
	}
	return strings.Replace(stored, ",", ".", 1)
}

func (r reader) day(stored string) string {
	var year, month, day int
	if _, err := fmt.Sscanf(stored, "%d-%d-%d", &year, &month, &day); err != nil {
		r.wrong("day %q: %v", stored, err)
	}
	if r.language == "de" {
		return fmt.Sprintf("%02d.%02d.%d", day, month, year)
	}
	return fmt.Sprintf("%d %s %d", day, strings.Fields("Jan Feb Mar Apr May Jun Jul Aug Sep Oct Nov Dec")[month-1], year)
}

// says wants a text somewhere on the paper; one that is wrapped inside a narrow
// column is told apart from others by its words.
func (r reader) says(what, want string) {
	if want = tidied(want); want != "" && !strings.Contains(r.text, want) {
		r.wrong("%s: the paper does not say %q", what, want)
	}
}

// wordsOf wants every word of a text, where columns beside each other may part
// them.
func (r reader) wordsOf(what, want string) {
	for word := range strings.FieldsSeq(want) {
		r.says(what, word)
	}
}

// row wants one line of a table with all of these in this order.
func (r reader) row(what string, cells ...string) {
	pattern := ""
	for _, cell := range cells {
		if cell = tidied(cell); cell != "" {
			// A reader of papers may take a number and its unit for one word.
			pattern += `(?:^|\s)` + strings.ReplaceAll(regexp.QuoteMeta(cell), " ", `\s?`) + `(?:\s.*)?`
		}
	}
	line := regexp.MustCompile(pattern + "$")
	if !slices.ContainsFunc(r.lines, line.MatchString) {
		r.wrong("%s: no line of the paper has %q", what, cells)
	}
}

var unitsOnPaper = map[string]string{"mm": "mm", "N": "N", "%": "%", "V": "V", "mohm": "mΩ", "degC": "°C", "1": ""}

var verdictsOnPaper = map[string]map[string]string{
	"en": {"pass": "pass", "fail": "fail", "provisional": "provisional"},
	"de": {"pass": "bestanden", "fail": "nicht bestanden", "provisional": "vorläufig"},
}

var limitsOnPaper = map[string][3]string{"en": {"at most", "at least", "to"}, "de": {"max.", "min.", "bis"}}

// result wants a result with its limit, its uncertainty and its verdict.
func (r reader) result(x models.CertificateResult) {
	most, least, to := limitsOnPaper[r.language][0], limitsOnPaper[r.language][1], limitsOnPaper[r.language][2]
	shown, u := r.number(x.Shown), r.number(x.U)
	limit := ""
	switch {
	case x.Low != "" && x.High != "":
		limit = r.number(x.Low) + " " + to + " " + r.number(x.High)
	case x.High != "":
		limit = most + " " + r.number(x.High)
	case x.Low != "":
		limit = least + " " + r.number(x.Low)
	}
	accepted := ""
	switch {
	case x.AcceptLow != "" && x.AcceptHigh != "":
		accepted = r.number(x.AcceptLow) + " " + to + " " + r.number(x.AcceptHigh)
	case x.AcceptLow+x.AcceptHigh != "":
		accepted = r.number(x.AcceptLow + x.AcceptHigh)
	}
	switch {
	case x.Missing:
		r.row(x.Code, map[string]string{"en": "not measured", "de": "nicht gemessen"}[r.language], limit)
	case limit != "":
		unit := unitsOnPaper[x.Unit]
		if u == "" {
			u = map[string]string{"en": "not taken into account", "de": "nicht einbezogen"}[r.language]
		}
		verdict := verdictsOnPaper[r.language][x.Verdict]
		if slices.Contains(r.conceded, x.Code) && x.Verdict == models.VerdictFail {
			verdict += map[string]string{"en": ", conceded", "de": ","}[r.language] // The German word is wrapped.
		}
		r.row(x.Code, shown, unit, limit, u, accepted, verdict)
	default:
		r.says(x.Code, tidied(shown+" "+unitsOnPaper[x.Unit]))
	}
}

// The page is drawn from the payload and from nothing else: what the payload
// holds, the page says. The payload is the one that is taken out of the file.
func TestPaperSaysWhatItsPayloadHolds(t *testing.T) {
	eachCase(t, func(t *testing.T, pdf, _ []byte, drawnFrom models.CertificateContent) {
		if strings.Contains(t.Name(), "wheel-72") {
			t.Skip("its names are longer than any line: what becomes of those is tested apart")
		}
		var c models.CertificateContent
		if err := json.Unmarshal(pdftest.Attachments(t, pdf)[FileName(drawnFrom)], &c); err != nil {
			t.Fatal(err)
		}
		r := reader{wrong: t.Errorf, language: "en", text: pdftest.Text(t, pdf), lines: pdftest.Lines(t, pdf)}
		if c.Concession != nil {
			r.conceded = c.Concession.Results
		}
		if c.Language == "de" {
			r.language = "de"
		}
		r.words = words.In(r.language)

		// Numbers, names and days.
		r.says("number", c.Number)
		r.says("revision", fmt.Sprintf("%d", c.Revision))
		r.says("serial", c.Item.Serial[:3]+"-"+c.Item.Serial[3:8]+"-"+c.Item.Serial[8:])
		r.says("issuer", c.Issuer.Name)
		r.says("address", c.Issuer.Address)
		r.says("place of work", c.Issuer.Place)
		for what, day := range map[string]string{"issued": c.IssuedOn, "measured": c.Inspection.MeasuredOn} {
			r.says(what, r.day(day))
		}
		r.says("minute of measuring", r.day(c.Inspection.MeasuredAt[:10])+", "+c.Inspection.MeasuredAt[11:16]+" UTC")
		r.says("minute of issue", r.day(c.IssuedAt[:10])+", "+c.IssuedAt[11:16]+" UTC")
		if c.Replaces != nil {
			r.says("what it replaces", fmt.Sprintf("%d", c.Replaces.Revision))
			r.says("day of what it replaces", r.day(c.Replaces.IssuedOn))
		}
		r.says("reason", c.Reason)
		r.wordsOf("product", c.Item.Product)
		r.wordsOf("specification", c.Specification.Of)
		r.says("address to check at", c.CheckAt)
		for _, p := range []models.CertificatePerson{c.MeasuredBy, c.ReleasedBy} {
			r.says("person", p.Name)
			r.says("person's role", r.words.Role(string(p.Role)))
		}

		// Parts, instruments, cautions, remarks.
		for _, p := range c.Parts {
			r.wordsOf("part", p.Number+" "+p.Lot)
		}
		for _, i := range c.Instruments {
			r.row("instrument "+i.Code, i.Code, r.number(i.Resolution)+" "+unitsOnPaper[i.Unit], r.day(i.CalibratedOn))
			r.wordsOf("instrument "+i.Code, r.day(i.DueOn)+" "+i.Certificate)
		}
		for _, code := range c.Cautions {
			r.says("caution", r.words.Caution(code))
		}
		for _, x := range c.Remarks {
			r.says("remark", r.words.Remark(x))
		}

		// Results with their limits and verdicts.
		for _, x := range c.Results {
			switch {
			case x.Value == "yes" || x.Value == "no" || x.Value == "not_applicable":
				_, behind, _ := strings.Cut(r.words.Result(x.Code), " ") // inside a sentence some begin small
				r.says(x.Code, behind)
			case x.Position != "":
				r.says(x.Code+" of "+x.Position, r.number(x.Shown))
			default:
				r.result(x)
			}
		}

		// Signature and log.
		if c.Version < models.ContentSigned {
			r.says("unsigned", "unsigned: issued before signing")
			return
		}
		r.says("key", c.Key)
		r.says("log entries", fmt.Sprint(c.Log.Size))
		root := c.Log.Root[:4] + " " + c.Log.Root[4:8] + " " + c.Log.Root[8:12] + " " + c.Log.Root[12:16]
		r.says("root", root)
		waits := map[string]string{"en": "waiting for seal", "de": "wartet auf Siegel"}[r.language]
		if says := strings.Contains(r.text, waits); says != c.Log.Waiting {
			t.Errorf("the paper says %q: %v, want %v", waits, says, c.Log.Waiting)
		}
	})
}

// The comparison above finds a page that says something else.
func TestAPaperThatSaysSomethingElseIsFound(t *testing.T) {
	for name, change := range map[string]func(*models.CertificateContent){
		"a result":  func(c *models.CertificateContent) { c.Results[0].Shown = "0.14" },
		"a limit":   func(c *models.CertificateContent) { c.Results[0].High = "0.35" },
		"a verdict": func(c *models.CertificateContent) { c.Results[0].Verdict = models.VerdictFail },
	} {
		t.Run(name, func(t *testing.T) {
			drawnFrom := wheelOf36()
			pdf, err := Draw(drawnFrom, Options{Raw: canonical(t, drawnFrom), Signature: signature(drawnFrom)})
			if err != nil {
				t.Fatal(err)
			}
			change(&drawnFrom)
			found := false
			r := reader{wrong: func(string, ...any) { found = true }, language: "en", words: words.In("en"), text: pdftest.Text(t, pdf), lines: pdftest.Lines(t, pdf)}
			r.result(drawnFrom.Results[0])
			if !found {
				t.Error("nothing was found")
			}
		})
	}
}
