package models

import (
	"errors"
	"fmt"
)

// Attribute says who did what was sent in: the person named, or whoever sends
// where nobody is. Another person is named only at an enrolled tablet, which
// sends what several people did while there was no network (ErrForbidden
// elsewhere), and must be one who is active and may record (*InvalidError, and
// ErrLeft beside it of one who could once).
func Attribute(actor Actor, named string, people func() ([]Person, error)) (string, error) {
	if named == "" || named == actor.PersonID {
		if actor.PersonID == "" {
			return "", Invalid("person", "missing")
		}
		return actor.PersonID, nil
	}
	if actor.DeviceID == "" {
		return "", fmt.Errorf("record for another person outside an enrolled tablet: %w", ErrForbidden)
	}
	all, err := people()
	if err != nil {
		return "", fmt.Errorf("find the person: %w", err)
	}
	for _, p := range all {
		if p.ID == named && p.Active && Permitted(p.Role, ActRecord) {
			return p.ID, nil
		}
		if p.ID == named {
			return "", fmt.Errorf("%w: %w", ErrLeft, Invalid("person", "unknown_person", "person", Shortened(named)))
		}
	}
	return "", Invalid("person", "unknown_person", "person", Shortened(named))
}

// ErrLeft says that whoever is named did such work once and may no more: they left,
// or do other work now. Nobody can sign in as them to send what waits.
var ErrLeft = errors.New("works here no more")
