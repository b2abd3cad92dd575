package certificate

import (
	"regexp"
	"slices"
	"strings"
	"testing"

	"tracewright/models"
	"tracewright/reports/pdf/pdftest"
)

// What each paper says, written by hand from the contents in fixtures_test.go.
var says = map[string][]string{
	"wheel-36": {
		"Harrowmere Wheel and Pack Works", "4 Ropewalk Yard, Harrowmere HR3 7QW", "Place of work: stand 1",
		"Inspection certificate", "C26-01250", "revision 1, issued 9 Feb 2027", "The wheel meets every limit of its specification.",
		"W26-00172-8", "Quillet 26 rear, 36 spokes, 1-cross", "cable side, mark on the flange", "Tyre off; 19 °C", "9 Feb 2027, after stress relief",
		"OR4-60418, Orlo R4", "17 of lot SP-0931; 1 of lot SP-0958", "Nipples not recorded",
		"Simple acceptance:", "The rule was fixed with the specification, before measuring.",
		"meets all 9 limits of specification revision 4", "T. Vale, operator", "Measured 9 Feb 2027, 15:31 UTC.", "I. Okarra, inspector", "Released 9 Feb 2027, 15:42 UTC.",
		"lateral, mean of the turn 0.12 mm", "−0.01 mm", "mean tension, side B 712 N",
		"Readings, rim unrolled", "mean 1078", "mean 712", "0.24 of 0.30 mm", "Dish: 12.40 (side A); 13.02 (side B) mm.",
		"All were in date on 9 Feb 2027.", "wear eye protection", "motor maker’s value", "50 to 150 km", "maker’s data, local codes and licensed practice come first",
		"Attached: the content, certificate-C26-01250-1.json (version 2)", "its Ed25519 signature", "The code holds serial, number, revision", "signed, key d75a980182b10ab7", "18204 log entries sealed, root bc6a 1396 cdc7 5b03",
		"This paper is a witness of the log of changes as it was sealed before.",
	},
	"wheel-guarded": {
		"revision 2, issued 9 Feb 2027", "replaces revision 1 of 16 Sep 2026", "Reason for revision 2: spoke 15 (side A) broke",
		"Guarded acceptance: each limit is moved inward by the expanded uncertainty U", "845 to 1255", "Overdue on 9 Feb 2027: T-01.",
		"Remark: T-01 was overdue for calibration since 2 Feb 2027.", "Check current status at https://q.harrowmere.example/7ZK3-M9QW-2B4T-X0RD-6NYA-5HJE-Q8VC",
	},
	"wheel-quick": {
		"The wheel meets every limit that was measured.", "+0.25, spoke 5", "+0.01, spoke 18", "−0.16, spoke 27", "spoke 8", "mean 1079 of 3",
		"Not measured: neighbour difference, side A; neighbour difference, side B.", "Released by the person who measured (self-release).", "Rim not recorded",
	},
	"wheel-failing": {
		"The wheel does not meet its specification: lateral run-out, full reading; cable jacket and connector sound.", "Not met: lateral run-out, full reading (0.41 mm is above the limit of 0.30 mm); cable jacket and connector sound.",
		"Cable jacket and connector sound: no, fail", "Checked, 5 pass", "0.41 of 0.30 mm",
	},
	"wheel-conceded": {
		"The wheel is released under concession NC26-00031, which lets fail: lateral run-out, full reading.", "Not met: lateral run-out, full reading (0.41 mm is above the limit of 0.30 mm).",
		"It is released all the same, under concession NC26-00031, approved on 9 Feb 2027 by J. Thorne, owner: fits the frame with room to spare.",
	},
	"wheel-band": {
		"fail, conceded", "pass, in the guard band, conceded", "Conceded: it does not meet its limit, or that is not shown, and is let through under concession NC26-00031.",
	},
	"de-wheel-band": {
		"nicht bestanden, Sonderfreigabe", "bestanden, im Schutzband, Sonderfreigabe", "Sonderfreigabe: Der Grenzwert ist nicht eingehalten, oder das ist nicht gezeigt; zugelassen mit Sonderfreigabe NC26-00031.",
	},
	"wheel-undecided":    {"pass, in the guard band", "In the guard band or not shown either way: the result lies nearer to its limit than its uncertainty, so that neither meeting nor missing the limit is shown."},
	"de-wheel-undecided": {"bestanden, im Schutzband", "Im Schutzband oder unentschieden: Das Ergebnis liegt näher am Grenzwert als seine Unsicherheit; weder Einhaltung noch Verfehlen ist gezeigt."},
	"wheel-beside": {
		"The wheel is released under concession NC26-00032, for something that none of its results shows.", "and meets all 9 limits",
		"it is released under concession NC26-00032, approved on 9 Feb 2027 by J. Thorne, owner: the joint can be felt; it is for a disc brake.",
	},
	"de-wheel-beside": {"Laufrad: freigegeben mit Sonderfreigabe NC26-00032, für etwas, das keines der Ergebnisse zeigt.", "genehmigt am 09.02.2027 von J. Thorne, Inhaber: the joint can be felt"},
	"wheel-dished":    {"32 spokes, radial", "Does not apply to this item: torque washer seat clean.", "Checked, 5 pass", "3.5 mm toward side B, from the hub face", "Lateral run-out, reread of spoke 1: 0.16.", "Dish: 54.35 mm."},
	"wheel-72":        {"Екатерина Владимировна Преображенская-Смирнова"},
	"pack-4": {
		"The pack meets every limit of its specification.", "Morrow M12-12, 4 in series, minus to plus", "lead-acid", "48 V, 12 Ah (C20)", "rested 26 h", "4 of lot BL-0210",
		"1 MW26-088120 BL-0210 12.905 13.75", "AC, 1 kHz", "0.04 of 0.10 V apart", "8.3 of 20 % apart", "A short circuit gives", "Acid burns", "hydrogen",
	},
	"pack-provisional": {
		"The pack meets the limits provisionally", "18.5 °C; rested 5 h; charger connected; 0.4 A flowing; meter warmed up for ten minutes", "Blocks not recorded",
		"Remark: Rested 5 h before the reading, less than the 24 h asked for.", "provisional", "No instrument is recorded for this inspection.",
	},
	"pack-2x13":      {"2 strings of 13 in series", "String 1", "String 2", "26 of lot BL-0210", "2, 13 MW26-088295 BL-0210 12.884", "Each string is judged alone."},
	"pack-lithium":   {"test summary (UN 38.3) SR-38-0417", "may not go by air above 30 % charge", "ask the carrier", "Lithium cells can burn"},
	"pack-untold":    {"test summary (UN 38.3) not known"},
	"wheel-unsigned": {"unsigned: issued before signing", "certificate-C26-01250-1.json (version 1, unsigned: issued before signing)"},
	"wheel-waiting":  {"waiting for seal", "Waiting for seal: the log of changes was not sealed up to here at issue"},
	"de-wheel-36": {
		"Prüfbescheinigung", "Revision 1, ausgestellt 09.02.2027", "Laufrad: alle Grenzwerte der Spezifikation eingehalten.", "36 Speichen, 1-fach gekreuzt", "Ohne Reifen; 19 °C", "09.02.2027, nach dem Abdrücken",
		"17 aus Los SP-0931; 1 aus Los SP-0958", "Nippel nicht erfasst", "Einfache Annahme:", "erweiterte Messunsicherheit U", "hält nach obiger Regel alle 9 Grenzwerte der Spezifikation, Revision 4, ein",
		"T. Vale, Werker", "I. Okarra, Prüfer", "Freigegeben 09.02.2027, 15:42 UTC.", "Messwerte, Felge abgewickelt", "Mittel 1078", "0,24 von 0,30 mm", "Mittigkeit: 12,40 (Seite A); 13,02 (Seite B) mm.", "Mittlere Spannung, Seite B 712 N",
		"signiert, Schlüssel d75a980182b10ab7", "Am 09.02.2027 war keine Kalibrierung überfällig.",
	},
	"de-wheel-guarded": {"Annahme mit Schutzband", "innerhalb der Annahmegrenze („Annahme“)", "845 bis 1255", "Grund für Revision 2: spoke 15", "ersetzt Revision 1 vom 16.09.2026", "Am 09.02.2027 überfällig: T-01.",
		"Bemerkung: Die Kalibrierung von T-01 war seit 02.02.2027 überfällig.", "Aktueller Stand: https://q.harrowmere.example/"},
	"de-wheel-failing": {"Laufrad: Spezifikation nicht eingehalten: Seitenschlag, Gesamtausschlag; Kabelmantel und Stecker unversehrt.", "(0,41 mm liegt über dem Grenzwert 0,30 mm)", "Kabelmantel und Stecker unversehrt: nein, nicht bestanden"},
	"de-wheel-quick":   {"Nicht gemessen: Nachbarunterschied, Seite A; Nachbarunterschied, Seite B.", "(Eigenfreigabe)", "+0,25, Speiche 5"},
	"de-pack-4":        {"wartet auf Siegel", "Morrow M12-12, 4 in Reihe, von Minus nach Plus", "Ruhezeit 26 h", "Spanne 0,04 von 0,10 V", "Bemerkung: Güte B nach Spannung: kleinster Block 12,884 V, Spanne aller Blöcke 0,042 V."},
	"de-superseded":    {"Ersetzt durch Revision 2 am 12.03.2027", "Grund: Speiche 15 brach und wurde ersetzt"},
	"de-void":          {"UNGÜLTIG seit 12.03.2027: für die falsche Seriennummer ausgestellt"},
	"superseded":       {"Superseded by revision 2 on 12 Mar 2027", "Reason: spoke 15 broke and was replaced"},
	"void":             {"VOID since 12 Mar 2027: issued for the wrong serial"},
}

func TestPaperSays(t *testing.T) {
	for name, wanted := range says {
		t.Run(name, func(t *testing.T) {
			pdf, _, _ := drawn(t, name)
			text := pdftest.Text(t, pdf) + "\n" + strings.Join(pdftest.Lines(t, pdf), "\n")
			for _, want := range wanted {
				if !strings.Contains(text, want) {
					t.Errorf("the paper does not say %q", want)
				}
			}
			if strings.Contains(text, "[") || strings.Contains(text, "{") {
				t.Errorf("a word is missing: %q", text[max(0, strings.IndexAny(text, "[{")-30):][:80])
			}
		})
	}
}

// German decimals have a comma: a point stands between figures in days, and in what came
// with the content as it is.
func TestGermanPaperHasDecimalCommas(t *testing.T) {
	days := regexp.MustCompile(`\b\d\d\.\d\d\.\d{4}\b`)
	point := regexp.MustCompile(`\S*\d\.\d\S*`)
	for name := range cases() {
		if !strings.HasPrefix(name, "de-") {
			continue
		}
		t.Run(name, func(t *testing.T) {
			paper, _, content := drawn(t, name)
			text := days.ReplaceAllString(pdftest.Text(t, paper), "")
			for _, as := range []string{content.CheckAt, content.Reason, "2.34" /* of a part’s description, as typed */, "UN 38.3"} {
				text = strings.ReplaceAll(text, as, "")
			}
			for _, found := range point.FindAllString(text, -1) {
				t.Errorf("%q stands there", found)
			}
		})
	}
}

// Why a paper is void or superseded stands on it alone: signs of that which its letters
// lack are told beside it, and the file is not named, which does not have them.
func TestSignsOfTheReasonThatThePaperLacks(t *testing.T) {
	for name, want := range map[string]string{"void": "A sign that this paper’s letters lack is printed as “?”.", "superseded": "A sign that this paper’s letters lack is printed as “?”.", "de-void": "Ein Zeichen, das die Schriften dieses Papiers nicht haben, ist als „?“ gedruckt."} {
		content, options := cases()[name]()
		options.Raw, options.Signature = canonical(t, content), signature(content)
		for reason, lacks := range map[string]bool{"東京 wrong": true, "wrong": false} {
			options.Reason = reason
			paper, err := Draw(content, options)
			if err != nil {
				t.Fatal(err)
			}
			for n, page := range pdftest.PageTexts(t, paper) {
				if said := strings.Contains(strings.Join(strings.Fields(page), " "), want); said != lacks {
					t.Errorf("%s, page %d, because %q: told %t, want %t", name, n+1, reason, said, lacks)
				}
			}
		}
	}
}

// A shop that is a day ahead of UTC: the head and the signatures name one day.
func TestTheMomentsAreByTheShopsClock(t *testing.T) {
	content := wheelQuick()
	content.IssuedAt, content.IssuedOn, content.IssuedOffset = "2026-11-27T18:38:00.000Z", "2026-11-28", "+14:00"
	content.Inspection.MeasuredAt, content.Inspection.MeasuredOn, content.Inspection.Offset = "2026-11-27T17:02:00.000Z", "2026-11-28", "+14:00"
	pdf, err := Draw(content, Options{Raw: canonical(t, content), Signature: signature(content)})
	if err != nil {
		t.Fatal(err)
	}
	text := pdftest.Text(t, pdf)
	for _, want := range []string{"Measured 28 Nov 2026, 07:02 UTC+14.", "Released 28 Nov 2026, 08:38 UTC+14."} {
		if !strings.Contains(text, want) {
			t.Errorf("the paper does not say %q", want)
		}
	}
	if strings.Contains(text, "27 Nov") {
		t.Error("the paper names two days")
	}
}

// Blocks that are judged by one limit stand in one row: how many pass, and the worst
// of their verdicts, whichever comes first.
func TestARowOfBlocksTellsTheWorst(t *testing.T) {
	for _, verdicts := range [][]string{{"pass", "conditional_pass", "fail"}, {"fail", "conditional_pass", "pass"}, {"conditional_pass", "pass", "fail"}} {
		var results []models.CertificateResult
		for i, v := range verdicts {
			results = append(results, models.CertificateResult{Code: "block_ocv", Position: "1." + itoa(i+1), High: "13", Verdict: v})
		}
		rows := (&sheet{}).gathered(results)
		if len(rows) != 1 || rows[0].Verdict != models.VerdictFail || rows[0].all != 3 || rows[0].passed != 1 {
			t.Errorf("%q: %+v, want one row of 3, 1 of which passes, that fails", verdicts, rows)
		}
	}
}

// A row of blocks is made of the readings of them all.
func TestARowOfBlocksTellsAllReadings(t *testing.T) {
	content := packOf("C26-01254", 1, 4)
	for i := range content.Results {
		if r := &content.Results[i]; r.Code == "block_r25" {
			r.High, r.Verdict, r.Reason = "20", models.VerdictPass, "within"
		}
	}
	paper, err := Draw(content, Options{Raw: canonical(t, content), Signature: signature(content)})
	if err != nil {
		t.Fatal(err)
	}
	if lines := pdftest.Lines(t, paper); !slices.ContainsFunc(lines, func(line string) bool {
		return strings.Contains(line, "4 of 4") && strings.HasSuffix(line, "at most 20 not taken into account every block, 4 pass")
	}) {
		t.Errorf("the row of blocks is none of:\n%s", strings.Join(lines, "\n"))
	}
}

// The words of what a concession lets through, and of what lies in a guard band,
// stand in the line of the result; a legend stands only where it explains something.
func TestLegendsStandWhereTheyExplain(t *testing.T) {
	for name, want := range map[string][2]bool{ // conceded, guard band
		"wheel-36": {}, "wheel-failing": {}, "wheel-beside": {}, "wheel-guarded": {}, "wheel-conceded": {true, false}, "wheel-band": {true, false}, "wheel-undecided": {false, true},
	} {
		pdf, _, _ := drawn(t, name)
		text := pdftest.Text(t, pdf)
		for i, says := range []string{"is let through under concession", "nearer to its limit than its uncertainty"} {
			if got := strings.Contains(text, says); got != want[i] {
				t.Errorf("%s says %q: %t, want %t", name, says, got, want[i])
			}
		}
	}
}

// Rows of the table of results: value, unit, limit, uncertainty, readings and
// verdict stand in one line.
func TestRowsOfResults(t *testing.T) {
	for name, rows := range map[string][]string{
		"wheel-36": {
			"Lateral run-out, full reading 0.24 mm at most 0.30 0.02 every hole, 36 pass",
			"Radial run-out, full reading 0.38 mm at most 0.50 not taken into account every hole, 36 pass",
			"Mean tension, side A 1078 N 800 to 1300 45 every hole, 18 pass",
			"Lowest spoke tension (spoke 30) 651 N at least 450 30 every hole, 36 pass",
		},
		"wheel-quick": {
			"Largest deviation, side A 1.3 % at most 15 2.0 of 3 pass",
			"Neighbour difference, side A not measured at most 20",
			"Lateral run-out, full reading 0.24 mm at most 0.30 0.02 extremes, 2 pass",
		},
		"wheel-fine": {
			"Mean tension, side A 1078 N 800 to 1300 45 845 to 1255 every hole, 18 pass",
			"Largest deviation, side A 7.8 % at most 15 2.0 13.0 every hole, 18 pass",
		},
		"wheel-failing": {"Lateral run-out, full reading 0.41 mm at most 0.30 0.02 every hole, 36 fail"},
		"wheel-guarded": {"Lateral run-out, full reading 0.24 mm at most 0.30 0.02 0.28 every hole, 36 pass"},
	} {
		t.Run(name, func(t *testing.T) {
			pdf, _, _ := drawn(t, name)
			lines := pdftest.Lines(t, pdf)
			for _, row := range rows {
				if !slices.Contains(lines, row) {
					t.Errorf("no line %q", row)
				}
			}
		})
	}
}

// Every reading stands on the paper as it was typed, run-out and tension too.
func TestEveryReadingIsPrinted(t *testing.T) {
	for _, name := range []string{"wheel-36", "wheel-dished", "wheel-quick", "pack-4", "pack-2x16"} {
		t.Run(name, func(t *testing.T) {
			pdf, _, content := drawn(t, name)
			have := map[string]int{}
			words, _, _ := pdftest.Words(t, pdf)
			for _, w := range words {
				have[strings.Trim(w.Text, ",;.+()")]++
			}
			for _, set := range content.Readings {
				need := map[string]int{}
				for _, typed := range set.Values {
					need[strings.Replace(strings.Replace(typed, "-", "−", 1), ",", ".", 1)]++
				}
				for value, n := range need {
					if value != "yes" && have[value] < n {
						t.Errorf("%s: %s stands %d times, was read %d times", set.Code, value, have[value], n)
					}
				}
			}
		})
	}
}

func TestSupersededAndVoidStandOnEveryPage(t *testing.T) {
	for name, want := range map[string]string{"superseded": "Superseded by revision 2", "void": "VOID", "de-superseded": "Ersetzt durch Revision 2", "de-void": "UNGÜLTIG"} {
		pdf, _, _ := drawn(t, name)
		pages := pdftest.PageTexts(t, pdf)
		for i, page := range pages {
			if !strings.Contains(page, want) {
				t.Errorf("%s: page %d does not say %q", name, i+1, want)
			}
		}
	}
}
