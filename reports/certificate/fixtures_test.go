package certificate

import (
	"encoding/json"
	"fmt"
	"math"
	"strings"
	"testing"

	"tracewright/models"
	"tracewright/models/trail"
)

// The contents below are invented: a shop, its people, wheels and packs. The
// readings of the whole wheel are those of a picture agreed on for the paper.

var issuer = models.CertificateIssuer{Name: "Harrowmere Wheel and Pack Works", Address: "4 Ropewalk Yard, Harrowmere HR3 7QW", Place: "stand 1"}

func base(number string) models.CertificateContent {
	return models.CertificateContent{
		Version: models.ContentSigned, Language: "en", Number: number, Revision: 1, Issuer: issuer, IssuedAt: "2027-02-09T15:42:07.000Z", IssuedOn: "2027-02-09",
		Verdict:    models.VerdictPass,
		MeasuredBy: models.CertificatePerson{Name: "T. Vale", Role: models.Operator},
		ReleasedBy: models.CertificatePerson{Name: "I. Okarra", Role: models.Inspector},
		Log:        &models.SealedLog{LogID: "harrowmere-1", Size: 18204, Root: "bc6a1396cdc75b03b1384ab675d6cacc8ab50ec53f82eb1976ec736fe684078f"},
		Key:        "d75a980182b10ab7",
	}
}

// signature stands beside content that is signed; what it is worth is told by
// whoever has the key, not by the drawing.
func signature(c models.CertificateContent) *models.Signature {
	if c.Version < models.ContentSigned {
		return nil
	}
	return &models.Signature{KeyID: c.Key, Value: strings.Repeat("5a", 64)}
}

// unsigned is content as it was before certificates were signed.
func unsigned(c models.CertificateContent) models.CertificateContent {
	c.Version, c.Language, c.Log, c.Key = models.ContentUnsigned, "", nil, ""
	return c
}

// waiting is content of a shop whose log was not sealed in time.
func waiting(c models.CertificateContent) models.CertificateContent {
	log := *c.Log
	log.Waiting = true
	c.Log = &log
	return c
}

// inGerman is content that is printed in German.
func inGerman(make func() models.CertificateContent) func() models.CertificateContent {
	return func() models.CertificateContent {
		c := make()
		c.Language = "de"
		return c
	}
}

var lateral36 = strings.Fields("0.14 0.18 0.20 0.24 0.25 0.24 0.24 0.20 0.19 0.16 0.14 0.12 0.11 0.10 0.08 0.08 0.05 0.01 0.03 0.03 0.05 0.10 0.11 0.12 0.16 0.17 0.16 0.14 0.12 0.08 0.05 0.04 0.05 0.03 0.05 0.09")
var radial36 = strings.Fields("0.02 0.02 0.11 0.08 0.09 0.10 0.05 0.02 0.00 -0.03 -0.07 -0.07 -0.01 0.02 0.07 0.16 0.16 0.21 0.22 0.18 0.12 0.08 -0.01 -0.07 -0.12 -0.10 -0.16 -0.13 -0.14 -0.15 -0.13 -0.13 -0.12 -0.14 -0.08 -0.03")
var tensionA18 = strings.Fields("1093 1131 1006 1062 1054 995 1071 1125 1034 1151 1053 1162 1090 1046 1110 1117 1021 1084")
var tensionB18 = strings.Fields("772 699 700 733 695 726 672 678 702 710 724 734 736 700 651 674 755 756")

func spokesFrom(first, step, n int) []models.Position {
	list := make([]models.Position, n)
	for i := range list {
		list[i] = models.Spoke(first + i*step)
	}
	return list
}

func limited(code, value, shown, unit, low, high, u, method string, readings int, detail ...string) models.CertificateResult {
	r := models.CertificateResult{Code: code, Value: value, Shown: shown, Unit: unit, Low: low, High: high, U: u, Verdict: models.VerdictPass, Reason: "within", Method: method, Readings: readings}
	if low == "" && high == "" {
		r.Verdict, r.Reason = models.VerdictNone, ""
	}
	for i := 0; i+1 < len(detail); i += 2 {
		if r.Detail == nil {
			r.Detail = map[string]string{}
		}
		r.Detail[detail[i]] = detail[i+1]
	}
	return r
}

func checked(code, answer string) models.CertificateResult {
	verdict := map[string]string{"yes": models.VerdictPass, "no": models.VerdictFail, "not_applicable": models.VerdictNone}[answer]
	return models.CertificateResult{Code: code, Value: answer, Shown: answer, Verdict: verdict, Method: models.Whole, Readings: 1}
}

func wheelTicks() []models.CertificateResult {
	var list []models.CertificateResult
	for _, code := range []string{"spokes_seated", "nipples_flush", "cable_sound", "axle_thread", "spins_freely", "washer_seat"} {
		list = append(list, checked(code, "yes"))
	}
	return list
}

var wheelCautions = []string{"recheck_bedding", "stop_riding", "axle_and_torque", "eye_protection", "rim_maximum", "disconnect_motor", "makers_data_first"}

// wheelOf36 is the plain case: every hole read, simple acceptance.
func wheelOf36() models.CertificateContent {
	c := base("C26-01250")
	c.Item = models.CertificateItem{Kind: models.KindWheel, Serial: "W26001728", Product: "Quillet 26 rear", Family: "Quillet rear wheels",
		Wheel: &models.WheelForm{Rim: "Fennick 559-32", Motor: "Orlo R4", Holes: 36, Crossing: 1, SideA: "cable side, mark on the flange", DishTarget: "0", DishReference: models.DishShoulders, ExpectedRatio: "1.52"}}
	c.Parts = []models.CertificatePart{
		{Role: "motor", Number: "OR4-60418", Description: "Orlo R4", Quantity: 1},
		{Role: "rim", Lot: "RL-0412", Description: "Fennick 559-32"},
		{Role: "spokes_a", Lot: "SP-0931", Quantity: 17}, {Role: "spokes_a", Lot: "SP-0958", Quantity: 1},
		{Role: "spokes_b", Lot: "SP-0927", Quantity: 18},
	}
	c.Specification = models.CertificateSpecification{Of: "Quillet rear wheels", Revision: 4, Grade: "standard", Rule: "simple"}
	c.Inspection = models.CertificateInspection{ID: "01948f3e-7c00-7000-8000-000000000001", Stage: models.AfterRelief, MeasuredOn: "2027-02-09", MeasuredAt: "2027-02-09T15:31:40.000Z",
		Conditions: models.Conditions{Tyre: "off", TemperatureC: "19"}}
	h := models.EveryHole
	c.Results = append([]models.CertificateResult{
		limited("lateral_tir", "0.24", "0.24", "mm", "", "0.30", "0.02", h, 36, "highest", "0.25", "lowest", "0.01", "highest_at", "4", "lowest_at", "17"),
		limited("lateral_mean", "0.1183", "0.12", "mm", "", "", "", h, 36),
		limited("lateral_h1", "0.0471", "0.05", "mm", "", "", "", h, 36),
		limited("lateral_h2", "0.0762", "0.08", "mm", "", "", "", h, 36),
		limited("lateral_h3", "0.0098", "0.01", "mm", "", "", "", h, 36),
		limited("radial_tir", "0.38", "0.38", "mm", "", "0.50", "", h, 36),
		limited("radial_mean", "-0.0053", "-0.01", "mm", "", "", "", h, 36),
		limited("radial_h1", "0.1021", "0.10", "mm", "", "", "", h, 36),
		limited("radial_h2", "0.0866", "0.09", "mm", "", "", "", h, 36),
		limited("radial_h3", "0.0122", "0.01", "mm", "", "", "", h, 36),
		limited("dish_abs", "0.31", "0.31", "mm", "", "1.00", "0.10", models.Whole, 2),
		limited("dish_offset", "0.31", "0.31", "mm", "", "", "", models.Whole, 2),
		limited("tension_mean_tight", "1078.06", "1078", "N", "800", "1300", "45", h, 18, "side", "a"),
		limited("tension_lowest", "651", "651", "N", "450", "", "30", h, 36, "at", "29"),
		limited("tension_mean_loose", "711.50", "712", "N", "", "", "", h, 18, "side", "b"),
		limited("side_ratio", "1.5152", "1.52", "1", "", "", "", h, 36, "expected", "1.52"),
		limited("side_tension_dev_pct_a", "7.786", "7.8", "%", "", "15", "2.0", h, 18, "at", "22"),
		limited("adjacent_diff_pct_a", "11.595", "11.6", "%", "", "20", "2.8", h, 18, "at", "0"),
		limited("tension_cv_pct_a", "4.512", "4.5", "%", "", "", "", h, 18),
		limited("side_tension_dev_pct_b", "8.574", "8.6", "%", "", "15", "2.0", h, 18, "at", "1"),
		limited("adjacent_diff_pct_b", "11.384", "11.4", "%", "", "20", "2.8", h, 18, "at", "1"),
		limited("tension_cv_pct_b", "4.602", "4.6", "%", "", "", "", h, 18),
	}, wheelTicks()...)
	c.Readings = []models.CertificateReadings{
		{Code: "lateral_runout", Method: h, Unit: "mm", Instrument: "L-12", Values: lateral36, Index: spokesFrom(0, 1, 36)},
		{Code: "radial_runout", Method: h, Unit: "mm", Instrument: "R-05", Values: radial36, Index: spokesFrom(0, 1, 36)},
		{Code: "dish", Method: models.Whole, Unit: "mm", Instrument: "D-02", Values: []string{"12.40", "13.02"}, Index: spokesFrom(0, 1, 2)},
		{Code: "tension_a", Method: h, Unit: "N", Instrument: "T-01", Values: tensionA18, Index: spokesFrom(0, 2, 18)},
		{Code: "tension_b", Method: h, Unit: "N", Instrument: "T-01", Values: tensionB18, Index: spokesFrom(1, 2, 18)},
		{Code: "spokes_seated", Method: models.Whole, Values: []string{"yes"}, Index: spokesFrom(0, 1, 1)},
	}
	c.Instruments = []models.CertificateInstrument{
		{Code: "D-02", Name: "dish gauge", UsedFor: []string{"dish"}, Resolution: "0.02", Unit: "mm", CalibratedOn: "2027-01-14", DueOn: "2028-01-14", Certificate: "K-27-0035"},
		{Code: "L-12", Name: "dial", UsedFor: []string{"lateral_runout"}, Resolution: "0.01", Unit: "mm", CalibratedOn: "2026-05-28", DueOn: "2027-05-28", Certificate: "K-26-0611"},
		{Code: "R-05", Name: "dial", UsedFor: []string{"radial_runout"}, Resolution: "0.01", Unit: "mm", CalibratedOn: "2026-08-14", DueOn: "2027-08-14", Certificate: "K-26-0872"},
		{Code: "T-01", Name: "tension gauge", UsedFor: []string{"tension_a", "tension_b"}, Resolution: "5", Unit: "N", CalibratedOn: "2026-07-02", DueOn: "2027-07-02", Certificate: "K-26-0702"},
	}
	c.Cautions = wheelCautions
	return c
}

// wheelGuarded is a second revision by the guarded rule, with a public address.
func wheelGuarded() models.CertificateContent {
	c := wheelOf36()
	c.Revision = 2
	c.Replaces = &models.CertificateReference{Number: "C26-01250", Revision: 1, IssuedOn: "2026-09-16"}
	c.Reason = "spoke 15 (side A) broke and was replaced on 8 February 2027. All results are later than that."
	c.CheckAt = "https://q.harrowmere.example/7ZK3-M9QW-2B4T-X0RD-6NYA-5HJE-Q8VC"
	c.Specification.Rule, c.Specification.GuardFactor = "guarded", "1"
	accept := map[string][2]string{"lateral_tir": {"", "0.28"}, "radial_tir": {"", "0.47"}, "dish_abs": {"", "0.90"}, "tension_mean_tight": {"845", "1255"}, "tension_lowest": {"480", ""},
		"side_tension_dev_pct_a": {"", "13.0"}, "side_tension_dev_pct_b": {"", "13.0"}, "adjacent_diff_pct_a": {"", "17.2"}, "adjacent_diff_pct_b": {"", "17.2"}}
	for i := range c.Results {
		if a, ok := accept[c.Results[i].Code]; ok {
			c.Results[i].AcceptLow, c.Results[i].AcceptHigh = a[0], a[1]
			if c.Results[i].U == "" {
				c.Results[i].U = "0.03"
			}
		}
	}
	c.Instruments[3].Overdue, c.Instruments[3].DueOn = true, "2027-02-02"
	c.Remarks = []models.Remark{models.NewRemark("instrument_overdue", "instrument", "T-01", "due", "2027-02-02")}
	return c
}

// wheelFine has one uncertainty, with what is accepted by it, to seven decimals.
func wheelFine() models.CertificateContent {
	c := wheelGuarded()
	c.Results[0].U, c.Results[0].AcceptHigh = "0.0115385", "0.2884615"
	return c
}

// wheelFinest has figures that no width of a page lets share their points.
func wheelFinest() models.CertificateContent {
	c := wheelFine()
	c.Results[0].High, c.Results[0].U, c.Results[0].AcceptHigh = "0.3000000", "0.011538462", "0.288461538"
	return c
}

// wheelOwnRule judges its dish by a rule of its own.
func wheelOwnRule() models.CertificateContent {
	c := wheelOf36()
	for i := range c.Results {
		if r := &c.Results[i]; r.Code == "dish_abs" {
			r.Rule, r.GuardFactor, r.AcceptHigh = "guarded", "0.82", "0.92"
		}
	}
	return c
}

// wheelQuick is extremes and sample, self-released.
func wheelQuick() models.CertificateContent {
	c := wheelOf36()
	c.Number = "C26-01251"
	c.ReleasedBy, c.SelfReleased = c.MeasuredBy, true
	c.Parts = nil
	e, sm := models.Extremes, models.Sample
	c.Results = append([]models.CertificateResult{
		limited("lateral_tir", "0.24", "0.24", "mm", "", "0.30", "0.02", e, 2),
		limited("radial_tir", "0.38", "0.38", "mm", "", "0.50", "", e, 2),
		limited("dish_abs", "0.31", "0.31", "mm", "", "1.00", "0.10", models.Whole, 2),
		limited("tension_mean_tight", "1079.00", "1079", "N", "800", "1300", "45", sm, 3, "side", "a"),
		limited("tension_lowest", "678", "678", "N", "450", "", "30", sm, 6, "at", "7"),
		limited("tension_mean_loose", "703.00", "703", "N", "", "", "", sm, 3, "side", "b"),
		limited("side_ratio", "1.5349", "1.53", "1", "", "", "", sm, 6, "expected", "1.52"),
		limited("side_tension_dev_pct_a", "1.297", "1.3", "%", "", "15", "2.0", sm, 3, "at", "0"),
		{Code: "adjacent_diff_pct_a", Unit: "%", High: "20", Verdict: models.VerdictNone, Missing: true},
		limited("side_tension_dev_pct_b", "3.556", "3.6", "%", "", "15", "2.0", sm, 3, "at", "7"),
		{Code: "adjacent_diff_pct_b", Unit: "%", High: "20", Verdict: models.VerdictNone, Missing: true},
	}, wheelTicks()...)
	c.Readings = []models.CertificateReadings{
		{Code: "lateral_runout", Method: e, Unit: "mm", Instrument: "L-12", Values: []string{"0.25", "0.01"}, Index: []models.Position{models.Spoke(4), models.Spoke(17)}},
		{Code: "radial_runout", Method: e, Unit: "mm", Instrument: "R-05", Values: []string{"0.22", "-0,16"}, Index: []models.Position{models.Spoke(18), models.Spoke(26)}},
		{Code: "dish", Method: models.Whole, Unit: "mm", Instrument: "D-02", Values: []string{"12.40", "13.02"}, Index: spokesFrom(0, 1, 2)},
		{Code: "tension_a", Method: sm, Unit: "N", Instrument: "T-01", Values: []string{"1093", "1071", "1073"}, Index: spokesFrom(0, 12, 3)},
		{Code: "tension_b", Method: sm, Unit: "N", Instrument: "T-01", Values: []string{"678", "724", "707"}, Index: spokesFrom(7, 12, 3)},
	}
	return c
}

// wheelFailing has a result above its limit and a check not found right.
func wheelFailing() models.CertificateContent {
	c := wheelOf36()
	c.Number, c.Verdict = "C26-01252", models.VerdictFail
	c.Results[0].Value, c.Results[0].Shown, c.Results[0].Verdict, c.Results[0].Reason = "0.41", "0.41", models.VerdictFail, "above_high"
	values := append([]string{}, lateral36...)
	values[4], values[17] = "0.33", "-0.08"
	c.Readings[0].Values = values
	for i := range c.Results {
		if c.Results[i].Code == "cable_sound" {
			c.Results[i] = checked("cable_sound", "no")
		}
	}
	return c
}

// wheelConceded fails by the same run-out, and is released under a concession.
func wheelConceded() models.CertificateContent {
	c := wheelFailing()
	c.Number = "C26-01257"
	for i := range c.Results {
		if c.Results[i].Code == "cable_sound" {
			c.Results[i] = checked("cable_sound", "yes")
		}
	}
	c.Concession = &models.CertificateConcession{Number: "NC26-00031", Results: []string{"lateral_tir"}, Reason: "fits the frame with room to spare.", ApprovedBy: models.CertificatePerson{Name: "J. Thorne", Role: models.Owner}, ApprovedOn: "2027-02-09"}
	return c
}

// wheelInTheBand is conceded by its run-out and by its dish, which lies in the guard
// band; wheelUndecided is not, and fails by the first.
func wheelInTheBand() models.CertificateContent {
	c := wheelUndecided()
	c.Number, c.Verdict = "C26-01259", models.VerdictFail
	c.Concession = wheelConceded().Concession
	c.Concession.Results = []string{"lateral_tir", "dish_abs"}
	return c
}

func wheelUndecided() models.CertificateContent {
	c := wheelGuarded()
	c.Number, c.Verdict = "C26-01260", models.VerdictFail
	for i := range c.Results {
		switch r := &c.Results[i]; r.Code {
		case "lateral_tir":
			r.Value, r.Shown, r.Verdict, r.Reason = "0.41", "0.41", models.VerdictFail, "above_high"
		case "dish_abs":
			r.Value, r.Shown, r.Verdict, r.Reason = "0.95", "0.95", models.VerdictConditionalPass, "in_guard_band"
		}
	}
	return c
}

// wheelConcededBeside meets its limits, and is released under a concession all the
// same.
func wheelConcededBeside() models.CertificateContent {
	c := wheelOf36()
	c.Number = "C26-01258"
	c.Concession = &models.CertificateConcession{Number: "NC26-00032", Results: []string{}, Reason: "the joint can be felt; it is for a disc brake", ApprovedBy: models.CertificatePerson{Name: "J. Thorne", Role: models.Owner}, ApprovedOn: "2027-02-09"}
	return c
}

// wheelDished is asymmetric on purpose, 32 holes, radial, target toward B.
func wheelDished() models.CertificateContent {
	c := wheelOf36()
	c.Number = "C26-01253"
	form := *c.Item.Wheel
	form.Holes, form.Crossing, form.DishTarget, form.DishReference, form.SideB = 32, 0, "-3.5", models.DishFace, "disc side"
	c.Item.Wheel = &form
	c.Readings[0].Values, c.Readings[0].Index = append(append([]string{}, lateral36[:32]...), "0.16"), append(spokesFrom(0, 1, 32), models.Spoke(0))
	c.Readings[1].Values, c.Readings[1].Index = radial36[:32], spokesFrom(0, 1, 32)
	c.Readings[2].Values, c.Readings[2].Index = []string{"54.35"}, spokesFrom(0, 1, 1)
	c.Readings[3].Values, c.Readings[3].Index = tensionA18[:16], spokesFrom(0, 2, 16)
	c.Readings[4].Values, c.Readings[4].Index = tensionB18[:16], spokesFrom(1, 2, 16)
	c.Results[0].Readings = 33
	c.Results[len(c.Results)-1] = checked("washer_seat", "not_applicable")
	c.Remarks = []models.Remark{models.NewRemark("side_swap", "mean_a", "711", "mean_b", "1089")}
	return c
}

// wheelOf72 is the largest wheel, with names and lists as long as they get.
func wheelOf72() models.CertificateContent {
	c := wheelOf36()
	c.Number = "C26-01254"
	form := *c.Item.Wheel
	form.Holes = 72
	form.SideA = strings.Repeat("the flange with the cable outlet and the paint mark ", 3)
	c.Item.Wheel = &form
	c.Item.Product = strings.Repeat("Quillet heavy cargo rear ", 5)
	c.Issuer.Name = strings.Repeat("Harrowmere Wheel and Pack Works ", 4)
	c.Issuer.Address = strings.Repeat("4 Ropewalk Yard, Harrowmere HR3 7QW, ", 5)
	c.MeasuredBy.Name = "Αλέξανδρος Παπαδόπουλος του Κωνσταντίνου"
	c.ReleasedBy.Name = "Екатерина Владимировна Преображенская-Смирнова"
	c.Reason = strings.Repeat("a long story about a spoke that broke and was replaced; ", 30)
	c.Item.Serial = "OR4-" + strings.Repeat("60418", 20)
	for i := range 14 {
		c.Parts = append(c.Parts, models.CertificatePart{Role: "spokes_a", Lot: fmt.Sprintf("SP-%04d", i), Quantity: 3, Description: "2.34 mm plain, 186 mm"})
	}
	var lateral, radial, a, b []string
	for i := range 72 {
		lateral = append(lateral, fmt.Sprintf("%.2f", -0.12*math.Cos(float64(i)/6)))
		radial = append(radial, fmt.Sprintf("%.3f", -10-0.2*math.Sin(float64(i)/9)))
		if i%2 == 0 {
			a = append(a, fmt.Sprintf("%.1f", 1080+60*math.Sin(float64(i))))
		} else {
			b = append(b, fmt.Sprintf("%.1f", 720+40*math.Cos(float64(i))))
		}
	}
	c.Readings[0].Values, c.Readings[0].Index = lateral, spokesFrom(0, 1, 72)
	c.Readings[1].Values, c.Readings[1].Index = radial, spokesFrom(0, 1, 72)
	c.Readings[3].Values, c.Readings[3].Index = a, spokesFrom(0, 2, 36)
	c.Readings[4].Values, c.Readings[4].Index = b, spokesFrom(1, 2, 36)
	for i := range c.Instruments {
		c.Instruments[i].Certificate = strings.Repeat("K-26-0611/", 4)
		c.Instruments[i].Code += "-WORKSHOP-NORTH"
	}
	c.CheckAt = "https://quality.of-the-harrowmere-wheel-and-pack-works.example/certificates/look/7ZK3-M9QW-2B4T-X0RD-6NYA-5HJE-Q8VC"
	return c
}

// packOf makes a pack with so many strings of so many blocks.
func packOf(number string, strs, blocks int) models.CertificateContent {
	c := base(number)
	c.Item = models.CertificateItem{Kind: models.KindPack, Serial: "P26000412", Product: fmt.Sprintf("Lantern %d V", 12*blocks), Family: "Lantern packs",
		Pack: &models.PackForm{BlockModel: "Morrow M12-12", Chemistry: "agm_small", Cells: 6, CapacityAh: "12", Rate: "C20", Strings: strs, Blocks: blocks, NominalV: fmt.Sprint(12 * blocks),
			ResistanceMethod: models.ResistanceAC, MinRestHours: "24"}}
	c.Specification = models.CertificateSpecification{Of: "Lantern packs", Revision: 2, Grade: "B", Rule: "simple"}
	c.Inspection = models.CertificateInspection{ID: "01948f3e-7c00-7000-8000-000000000002", Stage: models.Final, MeasuredOn: "2027-02-09", MeasuredAt: "2027-02-09T09:10:00.000Z",
		Conditions: models.Conditions{RestHours: "26", TemperatureC: "21.5"}}
	c.Issuer.Place = "bench 2"
	every := models.EveryBlock
	voltage := models.CertificateReadings{Code: "block_voltage", Method: every, Unit: "V", Instrument: "V-03"}
	resistance := models.CertificateReadings{Code: "block_resistance", Method: every, Unit: "mohm", Manner: models.ResistanceAC, Instrument: "M-01"}
	var ocv, soc, r25 []models.CertificateResult
	n := 0
	for str := 1; str <= strs; str++ {
		for place := 1; place <= blocks; place++ {
			v := fmt.Sprintf("%.3f", 12.905+0.021*math.Sin(float64(n)*1.7))
			m := fmt.Sprintf("%.2f", 13.2+0.55*math.Cos(float64(n)*2.3))
			position := models.Block(str, place)
			voltage.Values, voltage.Index = append(voltage.Values, v), append(voltage.Index, position)
			resistance.Values, resistance.Index = append(resistance.Values, m), append(resistance.Index, position)
			for _, one := range []struct {
				into        *[]models.CertificateResult
				code, value string
				unit        string
			}{{&ocv, "block_ocv25", v, "V"}, {&soc, "block_soc", "99.4", "%"}, {&r25, "block_r25", m, "mohm"}} {
				r := limited(one.code, one.value, one.value, one.unit, "", "", "", every, 1)
				r.Position = position.Key()
				*one.into = append(*one.into, r)
			}
			part := models.CertificatePart{Role: "block", Place: position.Key(), Number: fmt.Sprintf("MW26-%06d", 88120+7*n), Quantity: 1}
			if strs > 1 {
				part.Lot = "BL-0210"
			}
			c.Parts = append(c.Parts, part)
			n++
		}
	}
	if strs == 1 {
		// The lot is named once for all blocks.
		c.Parts = append([]models.CertificatePart{{Role: "block", Lot: "BL-0210", Description: "Morrow M12-12", Quantity: n}}, c.Parts...)
	}
	where := map[bool][]string{true: {"string", "2"}, false: {"string", "1"}}[strs > 1]
	c.Results = append(c.Results, limited("ocv_lowest", "12.884", "12.88", "V", "12.80", "", "0.01", every, n, "at", "1.3"),
		limited("ocv_spread", "0.0418", "0.04", "V", "", "0.10", "0.01", every, n, where...))
	c.Results = append(append(c.Results, ocv...), soc...)
	c.Results = append(c.Results, limited("resistance_spread_pct", "8.31", "8.3", "%", "", "20", "", every, n, where...))
	c.Results = append(c.Results, r25...)
	c.Results = append(c.Results, limited("temperature", "21.5", "21.5", "degC", "", "", "", models.Whole, 1),
		limited("series_difference", "0.006", "0.006", "V", "", "0.059", "0.02", models.Whole, strs, where...))
	total := models.CertificateReadings{Code: "pack_voltage", Method: models.Whole, Unit: "V", Instrument: "V-03"}
	for str := 1; str <= strs; str++ {
		total.Values, total.Index = append(total.Values, fmt.Sprintf("%.2f", 12.905*float64(blocks))), append(total.Index, models.Block(str, 0))
	}
	if strs > 1 {
		c.Results = append(c.Results, limited("string_difference", "0.01", "0.01", "V", "", "0.65", "0.02", models.Whole, strs))
	}
	for _, code := range []string{"polarity_checked", "insulated", "terminals_covered", "labelled"} {
		c.Results = append(c.Results, checked(code, "yes"))
	}
	c.Readings = []models.CertificateReadings{voltage, resistance,
		{Code: "block_temperature", Method: models.Whole, Unit: "degC", Instrument: "C-02", Values: []string{"21.5"}, Index: spokesFrom(0, 1, 1)}, total}
	c.Instruments = []models.CertificateInstrument{
		{Code: "C-02", Name: "thermometer", UsedFor: []string{"block_temperature"}, Resolution: "0.5", Unit: "degC", CalibratedOn: "2026-09-01", DueOn: "2027-09-01", Certificate: "K-26-0900"},
		{Code: "M-01", Name: "resistance meter", UsedFor: []string{"block_resistance"}, Resolution: "0.01", Unit: "mohm", CalibratedOn: "2026-06-11", DueOn: "2027-06-11", Certificate: "K-26-0655"},
		{Code: "V-03", Name: "voltmeter", UsedFor: []string{"block_voltage", "pack_voltage"}, Resolution: "0.001", Unit: "V", CalibratedOn: "2026-06-10", DueOn: "2027-06-10", Certificate: "K-26-0654"},
	}
	c.Remarks = []models.Remark{models.NewRemark("grade_b", "lowest", "12.884", "range", "0.042")}
	c.Cautions = []string{"short_circuit", "right_charger", "acid", "hydrogen", "strings_alike", "makers_data_first"}
	return c
}

// packLithium is one whose design has its test summary.
func packLithium() models.CertificateContent {
	c := packOf("C26-00306", 1, 7)
	c.Item.Pack.Chemistry, c.Item.Pack.Cells, c.Item.Pack.TestSummary = "lifepo4", 1, "SR-38-0417"
	c.Cautions = []string{"short_circuit", "right_charger", "lithium_fire", "lithium_not_as_charged", "lithium_transport", "makers_data_first"}
	return c
}

// packLithiumUntold is one from before test summaries were asked for.
func packLithiumUntold() models.CertificateContent {
	c := packLithium()
	c.Item.Pack.TestSummary = ""
	return c
}

// packProvisional rested four hours of the twenty-four asked for, its form knows
// no more than it must, and nothing is recorded of its blocks.
func packProvisional() models.CertificateContent {
	c := packOf("C26-00305", 1, 4)
	c.Verdict = models.VerdictProvisional
	c.Inspection.Conditions = models.Conditions{RestHours: "5", TemperatureC: "18.5", OnCharger: true, LoadA: "0.4", Note: "meter warmed up for ten minutes"}
	for i := range c.Results {
		if c.Results[i].Verdict == models.VerdictPass && c.Results[i].High+c.Results[i].Low != "" {
			c.Results[i].Verdict = models.VerdictProvisional
		}
	}
	c.Item.Pack.NominalV, c.Item.Pack.CapacityAh = "", ""
	c.Parts, c.Instruments = nil, nil
	c.Remarks = []models.Remark{models.NewRemark("rest_too_short", "position", "1", "rest", "5 h", "least", "24 h")}
	return c
}

// cases are the papers that the tests draw.
func cases() map[string]func() (models.CertificateContent, Options) {
	issued := func(make func() models.CertificateContent) func() (models.CertificateContent, Options) {
		return func() (models.CertificateContent, Options) { return make(), Options{State: models.Issued} }
	}
	return map[string]func() (models.CertificateContent, Options){
		"wheel-36":            issued(wheelOf36),
		"wheel-guarded":       issued(wheelGuarded),
		"wheel-fine":          issued(wheelFine),
		"de-wheel-fine":       issued(inGerman(wheelFine)),
		"wheel-finest":        issued(wheelFinest),
		"wheel-own-rule":      issued(wheelOwnRule),
		"de-wheel-own-rule":   issued(inGerman(wheelOwnRule)),
		"wheel-quick":         issued(wheelQuick),
		"wheel-failing":       issued(wheelFailing),
		"wheel-conceded":      issued(wheelConceded),
		"wheel-beside":        issued(wheelConcededBeside),
		"wheel-band":          issued(wheelInTheBand),
		"de-wheel-band":       issued(inGerman(wheelInTheBand)),
		"wheel-undecided":     issued(wheelUndecided),
		"de-wheel-undecided":  issued(inGerman(wheelUndecided)),
		"de-wheel-beside":     issued(inGerman(wheelConcededBeside)),
		"wheel-dished":        issued(wheelDished),
		"wheel-72":            issued(wheelOf72),
		"pack-4":              issued(func() models.CertificateContent { return packOf("C26-00301", 1, 4) }),
		"pack-provisional":    issued(packProvisional),
		"pack-lithium":        issued(packLithium),
		"pack-untold":         issued(packLithiumUntold),
		"pack-2x13":           issued(func() models.CertificateContent { return packOf("C26-00302", 2, 13) }),
		"pack-2x16":           issued(func() models.CertificateContent { return packOf("C26-00303", 2, 16) }),
		"wheel-unsigned":      issued(func() models.CertificateContent { return unsigned(wheelOf36()) }),
		"wheel-waiting":       issued(func() models.CertificateContent { return waiting(wheelOf36()) }),
		"de-wheel-36":         issued(inGerman(wheelOf36)),
		"de-wheel-guarded":    issued(inGerman(wheelGuarded)),
		"de-wheel-quick":      issued(inGerman(wheelQuick)),
		"de-wheel-failing":    issued(inGerman(wheelFailing)),
		"de-wheel-dished":     issued(inGerman(wheelDished)),
		"de-wheel-72":         issued(inGerman(wheelOf72)),
		"de-pack-4":           issued(inGerman(func() models.CertificateContent { return waiting(packOf("C26-00311", 1, 4)) })),
		"de-pack-provisional": issued(inGerman(packProvisional)),
		"de-pack-lithium":     issued(inGerman(packLithium)),
		"de-pack-2x13":        issued(inGerman(func() models.CertificateContent { return packOf("C26-00312", 2, 13) })),
		"de-superseded": func() (models.CertificateContent, Options) {
			return inGerman(wheelOf36)(), Options{State: models.Superseded, Successor: 2, ChangedOn: "2027-03-12", Reason: "Speiche 15 brach und wurde ersetzt"}
		},
		"de-void": func() (models.CertificateContent, Options) {
			return inGerman(packLithium)(), Options{State: models.Void, ChangedOn: "2027-03-12", Reason: "für die falsche Seriennummer ausgestellt"}
		},
		"superseded": func() (models.CertificateContent, Options) {
			return wheelOf36(), Options{State: models.Superseded, Successor: 2, ChangedOn: "2027-03-12", Reason: "spoke 15 broke and was replaced"}
		},
		"void": func() (models.CertificateContent, Options) {
			return packOf("C26-00304", 1, 4), Options{State: models.Void, ChangedOn: "2027-03-12", Reason: "issued for the wrong serial"}
		},
	}
}

// canonical is the content as it is kept: RFC 8785.
func canonical(t testing.TB, c models.CertificateContent) []byte {
	t.Helper()
	raw, err := json.Marshal(c)
	if err != nil {
		t.Fatal(err)
	}
	out, err := trail.CanonicalJSON(raw)
	if err != nil {
		t.Fatal(err)
	}
	return out
}
