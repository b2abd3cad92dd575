package access_test

import (
	"errors"
	"slices"
	"testing"

	"tracewright/models"
	"tracewright/models/store"
	"tracewright/models/store/storetest"
	"tracewright/models/work/access"
)

func TestDevices(t *testing.T) {
	storetest.Each(t, func(t *testing.T, s *store.Store) {
		h := open(t, s)
		key, device, err := h.Enrol(t.Context(), h.owner, " Tablet by the window ", "stand 1")
		if err != nil {
			t.Fatal(err)
		}
		if device.Name != "Tablet by the window" || device.EnrolledBy != h.owner.PersonID {
			t.Errorf("enrolled %+v", device)
		}
		if kept, err := s.Device(t.Context(), device.ID); err != nil || kept.KeyHash == key || kept.KeyHash == "" {
			t.Errorf("the store keeps %+v, %v; want a hash of the key", kept, err)
		}
		if found, err := h.DeviceByKey(t.Context(), key); err != nil || found.ID != device.ID {
			t.Errorf("DeviceByKey = %+v, %v", found, err)
		}
		for _, wrong := range []string{"", key + "A", key[1:], device.KeyHash} {
			if _, err := h.DeviceByKey(t.Context(), wrong); !errors.Is(err, models.ErrNotFound) {
				t.Errorf("DeviceByKey(%q) = %v, want ErrNotFound", wrong, err)
			}
		}
		for range 2 {
			if err := h.Revoke(t.Context(), h.owner, device.ID); err != nil {
				t.Fatal(err)
			}
		}
		if _, err := h.DeviceByKey(t.Context(), key); !errors.Is(err, models.ErrNotFound) {
			t.Errorf("a revoked key: %v, want ErrNotFound", err)
		}
	})
}

func TestPeopleAtADevice(t *testing.T) {
	h := open(t, storetest.New(t))
	h.add(t, access.NewPerson{Name: "Sefa Tamm", Role: models.Operator})
	h.add(t, access.NewPerson{Name: "Ota Brix", Role: models.Inspector})
	desk := h.add(t, access.NewPerson{Name: "Ada Lind", Role: models.Desk})
	left := h.add(t, access.NewPerson{Name: "Pavel Rohan", Role: models.Operator})
	no := false
	if _, err := h.UpdatePerson(t.Context(), h.owner, left.ID, access.Change{Active: &no}); err != nil {
		t.Fatal(err)
	}
	people, err := h.PeopleAtDevice(t.Context())
	if err != nil {
		t.Fatal(err)
	}
	var names []string
	for _, p := range people {
		names = append(names, p.Name)
	}
	if want := []string{"Ilse Grauer", "Ota Brix", "Sefa Tamm"}; !slices.Equal(names, want) {
		t.Errorf("at a device: %v, want %v", names, want)
	}
	for _, p := range []models.Person{desk, left} {
		if _, err := h.PersonAtDevice(t.Context(), p.ID); !errors.Is(err, models.ErrNotFound) {
			t.Errorf("PersonAtDevice(%s) = %v, want ErrNotFound", p.Name, err)
		}
	}
}

func TestADeviceHasNameAndPlace(t *testing.T) {
	h := open(t, storetest.New(t))
	_, _, err := h.Enrol(t.Context(), h.owner, " ", "")
	if got, want := problems(err), []string{"name required", "place required"}; !slices.Equal(got, want) {
		t.Errorf("Enrol = %v, want %v", err, want)
	}
}
