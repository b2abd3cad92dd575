package lookup

import (
	"encoding/json"
	"reflect"
	"regexp"
	"slices"
	"testing"

	"tracewright/models"
)

// fill gives every text of a content its own name, and every list and map one
// entry.
func fill(v reflect.Value, name string) {
	switch v.Kind() {
	case reflect.String:
		v.SetString("<" + name + ">")
	case reflect.Struct:
		for i := range v.NumField() {
			fill(v.Field(i), name+"."+v.Type().Field(i).Name)
		}
	case reflect.Pointer:
		v.Set(reflect.New(v.Type().Elem()))
		fill(v.Elem(), name)
	case reflect.Slice:
		v.Set(reflect.MakeSlice(v.Type(), 1, 1))
		fill(v.Index(0), name)
	case reflect.Map:
		value := reflect.New(v.Type().Elem()).Elem()
		fill(value, name)
		v.Set(reflect.MakeMap(v.Type()))
		v.SetMapIndex(reflect.ValueOf(name).Convert(v.Type().Key()), value)
	}
}

// What may be told is listed; a field that the content gains later is not told
// until it is.
func TestStrangersAreToldTheseAndNothingElse(t *testing.T) {
	var content models.CertificateContent
	fill(reflect.ValueOf(&content).Elem(), "")
	content.CheckAt = "https://shop.example/<.CheckAt>"
	raw, err := json.Marshal(publicPart(content))
	if err != nil {
		t.Fatal(err)
	}
	var got []string
	for _, found := range regexp.MustCompile(`\\u003c(\.[A-Za-z.]+)\\u003e`).FindAllStringSubmatch(string(raw), -1) {
		got = append(got, found[1])
	}
	slices.Sort(got)
	want := []string{".CheckAt", ".Concession.Number", ".Inspection.MeasuredOn", ".IssuedOn", ".Issuer.Name", ".Item.Kind", ".Item.Product", ".Item.Serial", ".Language", ".Number", ".Results.Code", ".Results.GuardFactor", ".Results.Rule", ".Results.Verdict",
		".Specification.Grade", ".Specification.GuardFactor", ".Specification.Of", ".Specification.Rule", ".Verdict"}
	if !slices.Equal(got, want) {
		t.Errorf("told: %v, want %v", got, want)
	}
}

func TestOneLineForEachCharacteristic(t *testing.T) {
	result := func(code, verdict, position string, missing bool) models.CertificateResult {
		return models.CertificateResult{Code: code, Verdict: verdict, Position: position, Missing: missing}
	}
	for _, c := range []struct {
		name    string
		results []models.CertificateResult
		want    []Result
	}{
		{"what has no limit is left out", []models.CertificateResult{result("lateral_mean", models.VerdictNone, "", false), result("lateral_tir", models.VerdictPass, "", false)},
			[]Result{{Code: "lateral_tir", Verdict: models.VerdictPass}}},
		{"what has one and was not measured is not", []models.CertificateResult{result("adjacent_diff_pct_a", models.VerdictNone, "", true)},
			[]Result{{Code: "adjacent_diff_pct_a", Verdict: models.VerdictNone, Missing: true}}},
		{"blocks pass together", []models.CertificateResult{result("block_r25", models.VerdictPass, "1.1", false), result("block_r25", models.VerdictPass, "1.2", false)},
			[]Result{{Code: "block_r25", Verdict: models.VerdictPass}}},
		{"one that fails is the line's", []models.CertificateResult{result("block_r25", models.VerdictPass, "1.1", false), result("block_r25", models.VerdictFail, "1.2", false), result("block_r25", models.VerdictPass, "1.3", false)},
			[]Result{{Code: "block_r25", Verdict: models.VerdictFail}}},
		{"one that fails is the line's, behind one that is doubtful", []models.CertificateResult{result("block_r25", "conditional_pass", "1.1", false), result("block_r25", models.VerdictFail, "1.2", false)},
			[]Result{{Code: "block_r25", Verdict: models.VerdictFail}}},
		{"one that was not measured leaves the line open", []models.CertificateResult{result("block_r25", models.VerdictPass, "1.1", false), result("block_r25", models.VerdictNone, "1.2", true), result("block_r25", models.VerdictPass, "1.3", false)},
			[]Result{{Code: "block_r25", Verdict: models.VerdictNone, Missing: true}}},
		{"one that was not measured hides none that fails", []models.CertificateResult{result("block_r25", models.VerdictNone, "1.1", true), result("block_r25", models.VerdictFail, "1.2", false)},
			[]Result{{Code: "block_r25", Verdict: models.VerdictFail}}},
	} {
		t.Run(c.name, func(t *testing.T) {
			got := publicPart(models.CertificateContent{Results: c.results})
			if !slices.Equal(got.Results, c.want) {
				t.Errorf("%+v, want %+v", got.Results, c.want)
			}
			if missing := slices.ContainsFunc(c.want, func(r Result) bool { return r.Missing }); got.Complete() == missing {
				t.Errorf("complete: %v", got.Complete())
			}
		})
	}
}
