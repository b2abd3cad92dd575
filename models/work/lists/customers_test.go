package lists_test

import (
	"errors"
	"slices"
	"strings"
	"testing"

	"tracewright/models"
	"tracewright/models/work/lists"
)

// Whom the shop knows: Mara, with phone, e-mail, address and note.
const mara = "Mara Holm,+47 2200,mara@holm.example,\"Quay 4\n9921 Sundhavn\",rings twice\n"

func TestCustomersAreComparedAndNeverTold(t *testing.T) {
	each(t, func(t *testing.T, d desk) {
		const head = "name,phone,e-mail,address,note\n"
		d.take(t, "customers", head+mara)
		secret := "Zacharias Quirinius"
		for name, test := range map[string]struct {
			raw         string
			want        []string
			fresh, same int
		}{
			"somebody new":                   {head + secret + ",1,,,\n", nil, 1, 0},
			"who is there":                   {head + mara, nil, 0, 1},
			"who is there, written a little": {"E-Mail;Telephone;NAME;address;note\nMARA@holm.example;(+47) 22-00;mara holm;\"Quay 4\r\n9921 Sundhavn\";rings twice\n", nil, 0, 1},
			"who is there, dialled in full":  {head + "Mara Holm,0047 2200,mara@holm.example,\"Quay 4\n9921 Sundhavn\",rings twice\n", nil, 0, 1},
			"what is no e-mail":              {head + "Ada,,mara holm example,,\nBea,,a@b.example; c@d.example,,\n", []string{"row 2, e-mail: no_email", "row 3, e-mail: no_email"}, 0, 0},
			"who is there, moved":            {head + "Mara Holm,+47 2200,mara@holm.example,Mill Lane 1,rings twice\n", []string{"row 2, name: list_differs names=address"}, 0, 0},
			"who is there, by few columns":   {"name,phone\nMara Holm,+47 2200\n", nil, 0, 1},
			"who is there, and a new e-mail": {"name,phone,e-mail\nMara Holm,+47 2200,new@holm.example\n", []string{"row 2, name: list_differs names=e-mail"}, 0, 0},
			"of the same name, no more said": {"name\nMara Holm\n", nil, 1, 0},
			"a namesake":                     {head + "Mara Holm,+47 9900,other@holm.example,Elsewhere 1,\n", nil, 1, 0},
			"twice in the list":              {head + secret + ",1,,x,\nB,,,,\n" + secret + ",1,,y,\n", []string{"row 4, name: list_twice row=2"}, 2, 0},
			"two who share a name alone":     {head + secret + ",1,,x,\n" + secret + ",2,,y,\n", nil, 2, 0},
			"no name":                        {head + ",1,,,\n", []string{"row 2, name: missing"}, 0, 0},
			"a text too long":                {head + strings.Repeat(secret, 20) + ",,,,\n", []string{"row 2, name: too_long most=200"}, 0, 0},
			"a heading that is near":         {"name,fone,adress\n" + secret + ",1,x\n", []string{"row 1, column 3: list_heading_near name=address"}, 1, 0},
			"no heading: nobody is told":     {secret + ",1\nB,2\n", []string{"row 1: list_no_heading names=name, phone, e-mail, address, note"}, 0, 0},
			"characters that were lost":      {head + "Zach\ufffd,,,,\n", []string{"row 2, name: list_bad_characters"}, 0, 0},
		} {
			t.Run(name, func(t *testing.T) {
				report := d.try(t, "customers", test.raw)
				if got := told(report); !slices.Equal(got, test.want) {
					t.Errorf("problems\n%s\nwant\n%s", strings.Join(got, "\n"), strings.Join(test.want, "\n"))
				}
				if report.New != test.fresh || report.Same != test.same {
					t.Errorf("%d new and %d there, want %d and %d", report.New, report.Same, test.fresh, test.same)
				}
				for _, n := range report.Notes {
					for _, v := range n.Values {
						if strings.Contains(secret, v) {
							t.Errorf("%s is told: %+v", v, n)
						}
					}
				}
				if err := report.Err(); err != nil && strings.Contains(err.Error(), "Zach") {
					t.Errorf("an error tells who it is: %v", err)
				}
			})
		}
	})
}

// A button that is pressed twice brings a list once: nothing but the look at what is
// there keeps a customer, or a lot without a code, from coming twice.
func TestTheSameListTwiceAtOnce(t *testing.T) {
	each(t, func(t *testing.T, d desk) {
		for kind, raw := range map[string]string{"customers": "name,phone\nAda,1\nBea,2\n", "lots": "material,quantity\nspokes,10\n"} {
			fresh := make(chan int)
			for range 4 {
				go func() {
					report, err := d.s.TakeIn(t.Context(), d.Owner, kind, []byte(raw), "")
					if err != nil {
						t.Error(err)
					}
					fresh <- report.New
				}()
			}
			if sum := <-fresh + <-fresh + <-fresh + <-fresh; sum != strings.Count(raw, "\n")-1 {
				t.Errorf("%s: %d came in", kind, sum)
			}
		}
	})
}

// Each customer that goes out was looked at, by whom and why; where the shop asks
// why, none goes out without.
func TestAListOfCustomersIsALookAtEach(t *testing.T) {
	each(t, func(t *testing.T, d desk) {
		d.take(t, "customers", "name,phone,e-mail,address,note\n"+mara+"=Evil(),,,,\n")
		out := d.written(t, d.Owner, "customers", lists.Ask{Reason: "new year letters"})
		if !strings.Contains(out, "Mara Holm,'+47 2200,mara@holm.example,\"Quay 4\n9921 Sundhavn\",rings twice,") || !strings.Contains(out, "\n'=Evil(),,,,,") {
			t.Errorf("written is %s", out)
		}
		found, err := d.Store.CustomersAlike(t.Context(), []string{"MARA HOLM"})
		d.Must(err)
		looks, err := d.Store.LooksAt(t.Context(), found[0].ID, 9)
		d.Must(err)
		if len(looks) != 1 || looks[0].PersonID != d.Owner.PersonID || looks[0].Reason != "new year letters" {
			t.Errorf("looks are %+v", looks)
		}
		d.Must(d.Store.SetSetting(t.Context(), models.NewStamp(d.Owner, d.Now), models.SettingLookReason, "yes"))
		var invalid *models.InvalidError
		var b strings.Builder
		if err := d.s.Write(t.Context(), d.Owner, "customers", lists.Ask{}, &b); !errors.As(err, &invalid) || b.Len() > 0 {
			t.Errorf("without a reason: %v, %q", err, b.String())
		}
	})
}
