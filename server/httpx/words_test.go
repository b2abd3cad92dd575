package httpx

import (
	"strings"
	"testing"

	"tracewright/models"
	"tracewright/models/work/access"
)

// Everything that a body or a form about people can get wrong has words, with
// every value of the sentence filled in.
func TestEveryProblemHasWords(t *testing.T) {
	d := newDesk(t, SessionOptions{})
	ctx, owner := t.Context(), models.Actor{PersonID: d.owner.ID, Role: models.Owner}
	atStand := owner
	atStand.DeviceID = d.device.ID
	add := func(n access.NewPerson) error { _, err := d.access.AddPerson(ctx, owner, n); return err }
	gone := false
	_, lastOwner := d.access.UpdatePerson(ctx, owner, d.owner.ID, access.Change{Active: &gone})
	errs := map[string]error{
		"nothing given":        add(access.NewPerson{}),
		"a bad login":          add(access.NewPerson{Name: "A", Role: models.Desk, Login: "a b"}),
		"a login taken":        add(access.NewPerson{Name: "A", Role: models.Desk, Login: "ilse"}),
		"a name too long":      add(access.NewPerson{Name: strings.Repeat("a", 99), Role: models.Desk}),
		"a name of no text":    add(access.NewPerson{Name: "a\x00", Role: models.Desk}),
		"a short password":     d.access.SetPassword(ctx, owner, d.owner.ID, "short"),
		"a common password":    d.access.SetPassword(ctx, owner, d.owner.ID, "password1234"),
		"a long password":      d.access.SetPassword(ctx, owner, d.owner.ID, strings.Repeat("gulls row ", 30)),
		"no PIN":               d.access.SetPIN(ctx, owner, d.owner.ID, ""),
		"a bad PIN":            d.access.SetPIN(ctx, owner, d.owner.ID, "x"),
		"an easy PIN":          d.access.SetPIN(ctx, owner, d.owner.ID, "1111"),
		"a wrong PIN":          d.access.Confirm(ctx, atStand, access.Secret{PIN: "9999"}),
		"no PIN to confirm":    d.access.Confirm(ctx, atStand, access.Secret{}),
		"the last owner":       lastOwner,
		"unknown, wrong, null": decodeJSON([]byte(`{"x":1,"text":2,"count":null,"sets":[{"index":["a"]}],"yes":1,"named":[],"sub":1}`), &sample{}),
		"twice":                decodeJSON([]byte(`{"text":"a","text":"b"}`), &sample{}),
		"trailing":             decodeJSON([]byte(`{} 1`), &sample{}),
		"cut off":              decodeJSON([]byte(`{`), &sample{}),
		"not UTF-8":            decodeJSON([]byte("\xff"), &sample{}),
	}
	for name, err := range errs {
		answer := testAnswers().answerFor(err)
		if len(answer.Errors) == 0 {
			t.Errorf("%s: %v is no problem with words", name, err)
		}
		for _, e := range answer.Errors {
			if strings.ContainsAny(e.Message, "[]{}") || !strings.HasSuffix(e.Message, ".") {
				t.Errorf("%s: %s %s says %q", name, e.Field, e.Code, e.Message)
			}
		}
	}
}
