package servertest

import (
	"html"
	"maps"
	"net/http"
	"net/url"
	"regexp"
	"slices"
	"strings"
	"testing"

	"tracewright/models"
)

var (
	inputTag    = regexp.MustCompile(`<input[^>]*>`)
	selectTag   = regexp.MustCompile(`(?s)<select[^>]*name="([^"]*)".*?</select>`)
	selectedTag = regexp.MustCompile(`<option value="([^"]*)" selected>`)
	attribute   = func(name string) *regexp.Regexp { return regexp.MustCompile(`\s` + name + `="([^"]*)"`) }
	nameOf      = attribute("name")
	valueOf     = attribute("value")
	fieldset    = regexp.MustCompile(`(?s)<fieldset[^>]*><legend>([^<]*)</legend>.*?</fieldset>`)
)

// formOf reads what a browser would send for the form of a page as it stands.
func formOf(page []byte) url.Values {
	values := url.Values{}
	one := func(pattern *regexp.Regexp, tag string) string {
		if found := pattern.FindStringSubmatch(tag); found != nil {
			return html.UnescapeString(found[1])
		}
		return ""
	}
	for _, tag := range inputTag.FindAllString(string(page), -1) {
		name := one(nameOf, tag)
		if name == "" || name == "q" || strings.Contains(tag, `type="checkbox"`) && !strings.Contains(tag, " checked") {
			continue
		}
		values.Add(name, one(valueOf, tag))
	}
	for _, found := range selectTag.FindAllStringSubmatch(string(page), -1) {
		values.Set(html.UnescapeString(found[1]), one(selectedTag, found[0]))
	}
	return values
}

// keepNames are the names of the boxes that ask for a characteristic, by its
// title.
func keepNames(page []byte) map[string]string {
	names := map[string]string{}
	for _, found := range fieldset.FindAllSubmatch(page, -1) {
		for _, tag := range inputTag.FindAllString(string(found[0]), 1) {
			names[string(found[1])] = html.UnescapeString(nameOf.FindStringSubmatch(tag)[1])
		}
	}
	return names
}

// What a shop does not measure is dropped in the form, and can be asked for
// again in the same place.
func TestAMeasuredCharacteristicIsDroppedAndAskedForAgain(t *testing.T) {
	Each(t, func(t *testing.T, s *Shop) {
		path := "/families/" + *s.Item[models.KindWheel].FamilyID + "/specification"
		page := func() []byte {
			t.Helper()
			status, _, body := s.Do(t, Row{Who: Owner, Path: path})
			if status != http.StatusOK {
				t.Fatalf("the form: status %d", status)
			}
			return body
		}
		send := func(form url.Values, status int) []byte {
			t.Helper()
			got, _, body := s.Do(t, Row{Who: Owner, Method: http.MethodPost, Path: path, Body: form.Encode(), Header: map[string]string{"Content-Type": "application/x-www-form-urlencoded"}})
			if got != status {
				t.Fatalf("sent: status %d, want %d: %s", got, status, shortened(body))
			}
			return body
		}
		codes := func() []string {
			t.Helper()
			spec, err := s.Store.SpecificationInForce(t.Context(), *s.Item[models.KindWheel].FamilyID, nil)
			s.Must(err)
			list := map[string]bool{}
			for _, c := range spec.Characteristics {
				list[c.Code] = true
			}
			return slices.Sorted(maps.Keys(list))
		}
		before := codes()

		form := formOf(page())
		radial := keepNames(page())["Radial run-out"]
		if radial == "" || form.Get(radial) != "yes" {
			t.Fatalf("the form has no box for radial run-out: %v", keepNames(page()))
		}
		form.Del(radial)
		form.Set("reason", "the rims are bought trued")
		shown := send(form, http.StatusOK)
		if text := inTags.ReplaceAllString(string(shown), " "); !regexp.MustCompile(`Radial run-out\s+asked for\s+not asked for`).MatchString(text) {
			t.Errorf("what changes is not said: %.3000s", text)
		}
		form.Set("confirmed", "yes")
		send(form, http.StatusSeeOther)
		want := slices.DeleteFunc(slices.Clone(before), func(c string) bool { return c == "radial_runout" })
		if got := codes(); !slices.Equal(got, want) {
			t.Errorf("in force: %v, want %v", got, want)
		}

		// A problem stands at its own field though something before it is dropped.
		form = formOf(page())
		wrong := strings.Replace(keepNames(page())["Dish"], ".code", ".results[0].high", 1)
		form.Del(keepNames(page())["Lateral run-out"])
		form.Set(wrong, "a hair")
		form.Set("confirmed", "yes")
		form.Set("reason", "a slip")
		answer := string(send(form, http.StatusUnprocessableEntity))
		if at := strings.Index(answer, `name="`+wrong+`"`); at < 0 || !strings.Contains(answer[at:min(len(answer), at+700)], "is not a number") {
			t.Errorf("the problem does not stand at %s: %.600s", wrong, answer[max(0, at):])
		}

		form = formOf(page())
		radial = keepNames(page())["Radial run-out"]
		if radial == "" || form.Get(radial) != "" {
			t.Fatalf("what was dropped is not offered again: %v", keepNames(page()))
		}
		form.Set(radial, "yes")
		form.Set("reason", "and they were not")
		form.Set("confirmed", "yes")
		send(form, http.StatusSeeOther)
		if got := codes(); !slices.Equal(got, before) {
			t.Errorf("in force again: %v, want %v", got, before)
		}
	})
}
