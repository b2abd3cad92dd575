package access_test

import (
	"slices"
	"testing"

	"tracewright/models"
	"tracewright/models/store/storetest"
	"tracewright/models/work/access"
)

func TestConfirm(t *testing.T) {
	h := open(t, storetest.New(t))
	bare := h.add(t, access.NewPerson{Name: "Sefa Tamm", Role: models.Operator})
	atStand := h.owner
	atStand.DeviceID = models.NewID()
	bareAtStand := actor(bare)
	bareAtStand.DeviceID = atStand.DeviceID
	for _, test := range []struct {
		name   string
		actor  models.Actor
		secret access.Secret
		want   []string
	}{
		{"PIN at a device", atStand, access.Secret{PIN: goodPIN}, nil},
		{"password elsewhere", h.owner, access.Secret{Password: goodPassword}, nil},
		{"a PIN elsewhere counts for nothing", h.owner, access.Secret{PIN: goodPIN}, []string{"confirm.password required"}},
		{"a password at a device counts for nothing", atStand, access.Secret{Password: goodPassword}, []string{"confirm.pin required"}},
		{"a wrong PIN", atStand, access.Secret{PIN: "4708"}, []string{"confirm.pin secret_wrong"}},
		{"a wrong password", h.owner, access.Secret{Password: "rain"}, []string{"confirm.password secret_wrong"}},
		{"somebody without a PIN", bareAtStand, access.Secret{PIN: "4709"}, []string{"confirm.pin secret_not_set"}},
	} {
		t.Run(test.name, func(t *testing.T) {
			err := h.Confirm(t.Context(), test.actor, test.secret)
			if got := problems(err); !slices.Equal(got, test.want) || err != nil && got == nil {
				t.Errorf("Confirm(%+v) = %v, want %v", test.secret, err, test.want)
			}
		})
	}
}
