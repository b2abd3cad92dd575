package access_test

import (
	"errors"
	"slices"
	"testing"
	"time"

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

func TestPINTriesAreLimitedPerPersonAndDevice(t *testing.T) {
	h := open(t, storetest.New(t))
	other := actor(h.add(t, access.NewPerson{Name: "Sefa Tamm", Role: models.Operator, PIN: "8302"}))
	stand, bench := models.NewID(), models.NewID()
	at := func(a models.Actor, device string) models.Actor { a.DeviceID = device; return a }
	for left := 4; left >= 0; left-- {
		err := h.Confirm(t.Context(), at(h.owner, stand), access.Secret{PIN: "1111"})
		var invalid *models.InvalidError
		if !errors.As(err, &invalid) || invalid.Problems[0].Values["left"] != string(rune('0'+left)) {
			t.Fatalf("Confirm = %v, want a wrong PIN with %d tries left", err, left)
		}
	}
	var wait *access.WaitError
	if err := h.Confirm(t.Context(), at(h.owner, stand), access.Secret{PIN: goodPIN}); !errors.As(err, &wait) || wait.Wait != 30*time.Second {
		t.Fatalf("the right PIN after five wrong ones: %v, want a wait of 30 s", err)
	}
	if err := h.Confirm(t.Context(), at(h.owner, bench), access.Secret{PIN: goodPIN}); err != nil {
		t.Errorf("the same person at another device waits too: %v", err)
	}
	if err := h.Confirm(t.Context(), at(other, stand), access.Secret{PIN: "8302"}); err != nil {
		t.Errorf("another person at the same device waits too: %v", err)
	}
	h.clock.forward(30 * time.Second)
	if err := h.Confirm(t.Context(), at(h.owner, stand), access.Secret{PIN: goodPIN}); err != nil {
		t.Errorf("after the wait: %v", err)
	}
}
